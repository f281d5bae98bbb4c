"""What the grower saw and did, and the stems and temperatures somebody is sure of."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from haulm.farm.products import Product
from haulm.farm.words import Grade, RecordKind


@dataclass(frozen=True, slots=True)
class Record:
    """One field record, about a batch, a variety (split over its ready batches) or the whole farm (neither).

    `count` is plants or stems as the kind says, `left` the stems left standing after a cut, `final` marks a
    germination count as the last word. Nothing is edited: `corrects` names the record this one corrects.
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
