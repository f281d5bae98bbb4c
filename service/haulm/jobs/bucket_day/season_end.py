"""A season looked back on: what each batch gave, what was wasted, what was sold, and who bought it."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.evidence.seen import first_keys, standing_records
from haulm.evidence.shared_out import shares_of
from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, settled_deliveries
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.stems_in_store import stems_cut
from haulm.store.words import Account

_SOLD = (Account.PACKED, Account.DELIVERED, Account.STALL)


@dataclass(frozen=True, slots=True)
class BatchYear:
    """What one batch gave in a year.

    Attributes:
        batch, variety: which.
        cut, wasted: stems cut, and of these said to be waste.
        sold: stems of its own cuts that went to customers or the stall, as far as the book of stems tells.
        metres: bed metres it stood on, or None.
    """

    batch: str
    variety: str
    cut: int
    wasted: int
    sold: int
    metres: float | None

    @property
    def by_metre(self) -> float | None:
        """Stems cut for each metre of bed, or None where its metres are not known."""
        return self.cut / self.metres if self.metres else None

    @property
    def sold_share(self) -> float | None:
        """The share of what was cut that was sold, 0-1; None where nothing was cut."""
        return self.sold / self.cut if self.cut else None


@dataclass(frozen=True, slots=True)
class CustomerYear:
    """What one customer asked and got in a year [stems]."""

    customer: str
    asked: int
    sent: int


@dataclass(frozen=True, slots=True)
class Season:
    """A year by batch and by customer."""

    year: int
    batches: tuple[BatchYear, ...]
    customers: tuple[CustomerYear, ...]


def season_end(desk: Desk, year: int) -> Season:
    """The farm's year, from its records and its book of stems."""
    return Season(year, _batches(desk, year), _customers(desk, year))


def _batches(desk: Desk, year: int) -> tuple[BatchYear, ...]:
    plan = desk.plan()
    seen, first = plan.growth.seen, first_keys(plan.farm.records)
    cut: dict[str, int] = {}
    wasted: dict[str, int] = {}
    batch_of: dict[str, list[Record]] = {}
    for record in standing_records(plan.farm.records):
        if record.date.year != year or record.kind not in (RecordKind.CUT, RecordKind.HUNG, RecordKind.WASTE):
            continue
        shares = list(shares_of(record, seen.batches, seen.evidence, plan.crops))
        batch_of[first.get(record.key, record.key)] = shares
        sums = wasted if record.kind is RecordKind.WASTE else cut
        for share in shares:
            sums[share.batch or ""] = sums.get(share.batch or "", 0) + (share.count or 0)
    sold = _sold(desk, batch_of)
    for pile, stems in desk.store.stem_balances().items():
        if pile.account is Account.WASTE and batch_of.get(pile.source):
            oldest = batch_of[pile.source][0].batch or ""
            wasted[oldest] = wasted.get(oldest, 0) + stems
    return tuple(
        BatchYear(
            batch.key,
            batch.variety,
            cut.get(batch.key, 0),
            wasted.get(batch.key, 0),
            sold.get(batch.key, 0),
            batch.metres,
        )
        for batch in sorted(seen.batches, key=lambda batch: batch.key)
        if batch.key in cut or batch.key in wasted
    )


def _sold(desk: Desk, batch_of: dict[str, list[Record]]) -> dict[str, int]:
    """Stems sold of each batch; those of a cut that was shared out over batches are shared out likewise."""
    by_cut: dict[str, int] = {}
    balances = desk.store.stem_balances()
    for pile, stems in balances.items():
        if pile.account in _SOLD:
            by_cut[pile.source] = by_cut.get(pile.source, 0) + stems
    # What a list packed from the field, and did not give back, is of the cuts that were written down afterwards.
    for pile, found in stems_cut(desk.store.farm(), balances).items():
        by_cut[pile.source] = by_cut.get(pile.source, 0) + found.cut - found.left
    sold: dict[str, int] = {}
    for key, stems in by_cut.items():
        left = stems
        for share in batch_of.get(key, []):
            taken = min(left, share.count or 0)
            sold[share.batch or ""] = sold.get(share.batch or "", 0) + taken
            left -= taken
    return sold


def _customers(desk: Desk, year: int) -> tuple[CustomerYear, ...]:
    sums: dict[str, list[int]] = {}
    for one in settled_deliveries(desk.store.entries_of(*OF_SETTLED)).values():
        if one.due.year == year:
            found = sums.setdefault(one.customer, [0, 0])
            found[0] += sum(int(line["asked"]) for line in one.lines)
            found[1] += sum(int(line["filled"]) for line in one.lines)
    return tuple(CustomerYear(key, *sums[key]) for key in sorted(sums))
