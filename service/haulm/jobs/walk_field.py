"""The walk in the field: one number a product, what was seen last time beside it; all numbers written down at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.sprays import closed_beds
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, RecordKind
from haulm.jobs.change_rows import RowAsked, add_row
from haulm.jobs.desk import Desk
from haulm.planning.plan import Plan
from haulm.planning.seen import standing_records
from haulm.store.unit_of_work import UnitOfWork

_IN_THE_GROUND = (BatchStatus.PLANTED, BatchStatus.CUTTING)
_SOON = timedelta(days=21)
_LAST_WALK = 10_000
"""Beds without a place in the walk come last."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One kind on the walk.

    Attributes:
        crop: the kind.
        batches: its batches in the ground, oldest first.
        beds: where they are, in the order of walking.
        last: the last count of stems standing, or None.
        last_on: when that was.
        expected: stems that should stand ready today: in a poor, a middling and a good season.
        is_sprayed: whether all its beds are inside a spray's waiting time, so that nobody should go in.
    """

    crop: Crop
    batches: tuple[Batch, ...]
    beds: tuple[str, ...]
    last: int | None
    last_on: date | None
    expected: tuple[int, int, int]
    is_sprayed: bool


@dataclass(frozen=True, slots=True)
class Count:
    """What was counted of one kind: stems standing ready, and buds that are not ready yet (for the note)."""

    variety: str
    standing: int
    not_ready: int | None = None


def walk_field(desk: Desk) -> tuple[Stop, ...]:
    """The kinds that stand in the ground and give stems now or soon, in the order of walking."""
    plan = desk.plan()
    by_variety: dict[str, list[Batch]] = {}
    for batch in plan.growth.seen.batches:
        if batch.status in _IN_THE_GROUND:
            by_variety.setdefault(batch.variety, []).append(batch)
    stops = [_stop(plan, variety, batches) for variety, batches in by_variety.items()]
    place = {bed.name: bed.walk if bed.walk is not None else _LAST_WALK for bed in plan.farm.beds}
    near = [stop for stop in stops if stop.last is not None or _gives_soon(plan, stop)]
    return tuple(
        sorted(near, key=lambda stop: (min((place.get(bed, 0) for bed in stop.beds), default=0), stop.crop.name))
    )


def record_walk(desk: Desk, work: UnitOfWork, counts: Sequence[Count], *, frost: bool = False) -> tuple[Record, ...]:
    """Write down what was counted on a walk, all of it or nothing; a frost is one record of the whole farm.

    Raises:
        NotAccepted: nothing was counted, or a kind twice.
        FolderRefused: a count is not accepted, or the kind is not grown.
    """
    if not counts and not frost:
        raise NotAccepted(where="walk", found="no count and no frost", accepted="at least one of them")
    named = [count.variety for count in counts]
    twice = next((variety for variety in named if named.count(variety) > 1), None)
    if twice is not None:
        raise NotAccepted(where="counts", found=f"'{twice}' twice", accepted="each kind once")
    today = desk.today().isoformat()
    rows: list[Record] = []
    for number, count in enumerate(counts, 1):
        note = "" if count.not_ready is None else f"{count.not_ready} not ready"
        values = {"key": f"walk-{today}-{work.next_seq}-{number}", "date": today, "kind": "standing", "note": note}
        rows.append(
            add_row(desk, work, RowAsked("records", {**values, "variety": count.variety, "count": count.standing}))
        )
    if frost:
        values = {"key": f"frost-{today}-{work.next_seq}", "date": today, "kind": str(RecordKind.FROST)}
        rows.append(add_row(desk, work, RowAsked("records", values)))
    return tuple(rows)


def _stop(plan: Plan, variety: str, batches: list[Batch]) -> Stop:
    crop = plan.crops[variety]
    ordered = tuple(sorted(batches, key=lambda batch: (batch.sow_date or date.min, batch.key)))
    beds = {bed.key: bed for bed in plan.farm.beds}
    found = {beds[batch.bed].name: beds[batch.bed] for batch in ordered if batch.bed in beds}
    names = sorted(found, key=lambda name: (found[name].walk if found[name].walk is not None else _LAST_WALK, name))
    counted = [
        record
        for record in standing_records(plan.farm.records)
        if record.kind is RecordKind.STANDING
        and (record.variety == variety or record.batch in {batch.key for batch in ordered})
    ]
    # The last one written down, where one day has several.
    last = max(reversed(counted), key=lambda record: record.date, default=None)
    waits = {closed.bed.key for closed in closed_beds(plan.farm, plan.today)}
    sprayed = bool(ordered) and all(batch.bed in waits for batch in ordered)
    expected = _expected(plan, crop, plan.today - timedelta(days=crop.stand_days), plan.today)
    return Stop(
        crop, ordered, tuple(names), last.count if last else None, last.date if last else None, expected, sprayed
    )


def _gives_soon(plan: Plan, stop: Stop) -> bool:
    return _expected(plan, stop.crop, plan.today, plan.today + _SOON)[2] > 0 or stop.expected[2] > 0


def _expected(plan: Plan, crop: Crop, first: date, last: date) -> tuple[int, int, int]:
    """Stems of a kind that become ready from one day to another, in a poor, a middling and a good season."""
    totals = np.zeros(plan.result.supply.seasons, np.int64)
    for pool in plan.result.supply.pools:
        if pool.product.variety != crop.key or pool.product.form is not Form.FRESH:
            continue
        for block in pool.blocks:
            wanted = [row for row, lot in enumerate(block.lots) if lot.cut is None and first <= lot.ready <= last]
            totals = totals + block.stems[wanted].sum(axis=0, dtype=np.int64)
    low, middle, high = np.quantile(totals, (0.1, 0.5, 0.9), method="lower")
    return int(low), int(middle), int(high)
