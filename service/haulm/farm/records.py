"""What the grower saw and did, and the stems and temperatures somebody is sure of."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from haulm.farm.products import Product
from haulm.farm.words import Grade, LossReason, RecordKind


@dataclass(frozen=True, slots=True)
class Record:
    """One field record, about a batch, a variety (split over its ready batches) or the whole farm (neither).

    `count` is plants or stems as the kind says, `left` the stems left standing after a cut, `final` marks a
    germination count as the last word. Nothing is edited: `corrects` names the record this one corrects.

    `share_pct` is the share of the plants that a loss took [%]; a loss with neither it nor a count took all of them.
    `reason` says why plants are lost; on `waste` it says that stems were spoiled where they stood. `typed_at` orders
    the records of a day (UTC, as `2027-06-14T07:12:00.000Z`). `really`: it was asked about, and said again.
    """

    key: str
    date: dt.date
    kind: RecordKind
    batch: str | None = None
    variety: str | None = None
    count: int | None = None
    left: int | None = None
    final: bool = False
    grade: Grade | None = None
    length_cm: int | None = None
    note: str = ""
    corrects: str | None = None
    reason: LossReason | None = None
    share_pct: int | None = None
    typed_at: str | None = None
    really: bool = False

    @property
    def is_all_lost(self) -> bool:
        """Whether it says that all plants are lost, not some of them."""
        return self.kind is RecordKind.LOST and self.count is None and self.share_pct in (None, 100)

    @property
    def is_spoiled(self) -> bool:
        """Whether stems were spoiled where they stood; waste without a reason may be of the store."""
        return self.kind is RecordKind.WASTE and self.reason is not None


@dataclass(frozen=True, slots=True)
class KnownStems:
    """Stems somebody is sure of: standing (no cut date), cut, bought in, or dried stock."""

    key: str
    product: Product
    ready_date: dt.date
    stems: int
    cut_date: dt.date | None = None
    length_cm: int | None = None
    usable_until: dt.date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class DayTemperature:
    """The lowest and highest temperature of one day [deg C]."""

    date: dt.date
    min_c: float
    max_c: float
