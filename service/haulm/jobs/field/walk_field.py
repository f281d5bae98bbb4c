"""The walk in the field: every bed in the order of walking, what grows in it, its last count and what should stand."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.evidence.seen import in_time, standing_records
from haulm.evidence.shared_out import has_begun
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.sprays import closed_beds
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, RecordKind
from haulm.forecast.percentiles import LEVELS, whole_quantiles
from haulm.jobs.desk.desk import Desk
from haulm.matching.supply import FloatArray, IntArray
from haulm.planning.plan import Plan

_SOON = timedelta(days=21)
_LAST_WALK = 10_000
"""Beds without a place in the walk come last."""

Expected = tuple[int, int, int]
"""Stems in a poor, a middling and a good season."""


@dataclass(frozen=True, slots=True)
class Growing:
    """One sowing in a bed.

    Attributes:
        batch: as the records leave it.
        crop: its kind.
        last, last_on: its own last count of stems standing, and when that was; None where it has none.
        expected: stems that should stand ready today.
        is_soon: whether it gives stems now or within three weeks, in a good season.
        has_begun: whether it has given stems.
    """

    batch: Batch
    crop: Crop
    last: int | None
    last_on: date | None
    expected: Expected
    is_soon: bool
    has_begun: bool


@dataclass(frozen=True, slots=True)
class Stop:
    """A bed on the walk; `bed` and `name` are empty for what has none. `is_sprayed`: nobody should go in today."""

    bed: str
    name: str
    growing: tuple[Growing, ...]
    is_sprayed: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """All sowings of one kind on the walk: one number may be given for all of them.

    Attributes:
        crop: the kind.
        batches: its batches in the ground, oldest first.
        beds: where they are, in the order of walking.
        last, last_on: the last count of the kind or of one of its sowings, and when that was.
        expected: stems that should stand ready today.
        is_sprayed: whether all its beds are inside a spray's waiting time.
        is_soon: whether it gives stems now or within three weeks, in a good season.
    """

    crop: Crop
    batches: tuple[Batch, ...]
    beds: tuple[str, ...]
    last: int | None
    last_on: date | None
    expected: Expected
    is_sprayed: bool
    is_soon: bool


@dataclass(frozen=True, slots=True)
class Walk:
    """The walk of a day: by bed, and the same by kind."""

    stops: tuple[Stop, ...]
    kinds: tuple[Kind, ...]


def walk_field(desk: Desk) -> Walk:
    """Every bed with something in the ground, sown where it stays or planted out, in the order of walking."""
    return walk_of(desk.plan())


def walk_of(plan: Plan) -> Walk:
    """The walk as a plan has it."""
    counted = [one for one in in_time(standing_records(plan.farm.records)) if one.kind is RecordKind.STANDING]
    by_bed: dict[str, list[Batch]] = {}
    by_kind: dict[str, list[Batch]] = {}
    for batch in sorted(plan.growth.seen.batches, key=lambda one: (one.sow_date or date.min, one.key)):
        known = plan.growth.seen.evidence[batch.key]
        if batch.is_in_the_ground and known.lost_on is None and known.finished_on is None:
            by_bed.setdefault(batch.bed or "", []).append(batch)
            by_kind.setdefault(batch.variety, []).append(batch)
    waits = {closed.bed.key for closed in closed_beds(plan.farm, plan.today)}
    names = {bed.key: bed.name for bed in plan.farm.beds}
    order = sorted(by_bed, key=lambda bed: _place(plan, bed))
    stops = [
        Stop(bed, names.get(bed, ""), tuple(_growing(plan, batch, counted) for batch in by_bed[bed]), bed in waits)
        for bed in order
    ]
    soon = {one.batch.key for stop in stops for one in stop.growing if one.is_soon}
    kinds = [_kind(plan, batches, counted, (soon, waits)) for batches in by_kind.values()]
    first = {batch.variety: _place(plan, batch.bed or "") for bed in reversed(order) for batch in by_bed[bed]}
    return Walk(tuple(stops), tuple(sorted(kinds, key=lambda kind: (first[kind.crop.key], kind.crop.name))))


def _place(plan: Plan, key: str) -> tuple[bool, int, str]:
    """Where a bed comes in the walk; what has none comes last of all."""
    bed = next((one for one in plan.farm.beds if one.key == key), None)
    if bed is None:
        return True, _LAST_WALK, key
    return False, bed.walk if bed.walk is not None else _LAST_WALK, bed.name


def _growing(plan: Plan, batch: Batch, counted: Iterable[Record]) -> Growing:
    crop = plan.crops[batch.variety]
    last = _last(counted, lambda one: one.batch == batch.key)
    now, soon = _of_batch(plan, batch, crop)
    begun = has_begun(batch, plan.growth.seen.evidence[batch.key])
    return Growing(batch, crop, last.count if last else None, last.date if last else None, now, soon, begun)


def _kind(plan: Plan, batches: list[Batch], counted: Iterable[Record], marked: tuple[set[str], set[str]]) -> Kind:
    soon, waits = marked
    crop, keys = plan.crops[batches[0].variety], {batch.key for batch in batches}
    last = _last(counted, lambda one: one.variety == crop.key or one.batch in keys)
    names = {bed.key: bed.name for bed in plan.farm.beds}
    beds = dict.fromkeys(sorted((batch.bed or "" for batch in batches), key=lambda bed: _place(plan, bed)))
    return Kind(
        crop,
        tuple(batches),
        tuple(names[bed] for bed in beds if bed in names),
        last.count if last else None,
        last.date if last else None,
        _of_kind(plan, crop),
        all(batch.bed in waits for batch in batches),
        bool(keys & soon),
    )


def _last(counted: Iterable[Record], is_about: Callable[[Record], bool]) -> Record | None:
    found = [one for one in counted if is_about(one)]
    return found[-1] if found else None


def _of_batch(plan: Plan, batch: Batch, crop: Crop) -> tuple[Expected, bool]:
    """Stems of one batch that stand today, and whether it gives any within three weeks in a good season."""
    forecast = plan.growth.forecast
    if forecast is None:
        return (0, 0, 0), False
    stands_for = len(crop.field_life.ages())
    by_length = forecast.stems_of(batch.key, crop.field_life.oldest(plan.today), stands_for + _SOON.days)
    if not by_length:
        return (0, 0, 0), False
    stems = sum(by_length.values(), np.zeros((1, 1), np.int32))
    standing, coming = stems[:stands_for].sum(axis=0), stems.sum(axis=0)
    return _levels(standing, forecast.weights), _levels(coming, forecast.weights)[2] > 0


def _of_kind(plan: Plan, crop: Crop) -> Expected:
    """Fresh stems of a kind that stand today, counts somebody is sure of among them, less those that are packed."""
    supply, first = plan.result.supply, crop.field_life.oldest(plan.today)
    totals = np.zeros(supply.seasons, np.int32)
    for pool in supply.pools:
        if pool.product.variety != crop.key or pool.product.form is not Form.FRESH:
            continue
        for block in pool.blocks:
            rows = [row for row, lot in enumerate(block.lots) if lot.cut is None and first <= lot.ready <= plan.today]
            totals = totals + block.stems[rows].sum(axis=0, dtype=np.int32)
    return _levels(totals, supply.weights)


def _levels(stems: IntArray, weights: FloatArray) -> Expected:
    low, middle, high = whole_quantiles(stems[np.newaxis, :], LEVELS, weights)[:, 0]
    return int(low), int(middle), int(high)
