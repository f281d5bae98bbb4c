"""Frost, heat or hail tonight: what would be lost, whom it serves if it is cut first, and what a cover would save.

Proved by re-matches of the farm in the seasons as they are; who is short all the same is said too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.sprays import closed_beds
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind, Form, LineClass, Threat
from haulm.forecast.one_night import Wintering
from haulm.forecast.percentiles import LEVELS, expected_stems, whole_quantiles
from haulm.horticulture.threats import Harm, harm_of, is_saved_by_cover, takes_what_comes
from haulm.matching.allocation.match import match, rematch
from haulm.matching.reading.which_stems import sources
from haulm.matching.supply import Block, IntArray, Lot, Supply, packed, standing_lots
from haulm.planning.growth import Growth
from haulm.planning.known import PoolKey
from haulm.planning.plan import Plan

_CUT_TONIGHT = "tonight"
_NO_PROMISE = (LineClass.HOLD, LineClass.STALL)
_NOTICED = 0.05
"""Less of a confidence than this is no news on such an evening [share]."""


@dataclass(frozen=True, slots=True)
class ToCut:
    """A kind to cut today.

    Attributes:
        crop: the kind.
        batches: its sowings that are struck, in beds that may be walked.
        stands: stems that stand ready in a poor, a middling and a good season.
        for_whom: in the season to expect, the lines that are served by what is cut, and with how many stems.
        keeps_until: the last due date that stems cut today serve.
    """

    crop: Crop
    batches: tuple[Batch, ...]
    stands: tuple[int, int, int]
    for_whom: tuple[tuple[DatedLine, int], ...]
    keeps_until: date

    @property
    def promised(self) -> int:
        """Stems that go to promises."""
        return sum(stems for _, stems in self.for_whom)


@dataclass(frozen=True, slots=True)
class ToCover:
    """A sowing that frost would kill and a fleece would save, and the fresh stems still to come of it (the median)."""

    batch: Batch
    crop: Crop
    to_come: int


@dataclass(frozen=True, slots=True)
class Struck:
    """A promise that is less sure for it: as it stands, if nothing is cut, and if all that stands is cut, 0-1."""

    line: DatedLine
    now: float
    uncut: float
    cut: float


@dataclass(frozen=True, slots=True)
class Tonight:
    """What a threat does.

    Attributes:
        cut: what to cut first, the most promised first.
        cover: what to cover, that with most to come first.
        lost: sowings that neither is saved by a cover nor has a stem to cut.
        struck: promises that are less sure even if all is cut.
        rescued: promises that only the cutting keeps as sure as they are.
    """

    cut: tuple[ToCut, ...]
    cover: tuple[ToCover, ...]
    lost: tuple[tuple[Batch, Crop], ...]
    struck: tuple[Struck, ...]
    rescued: tuple[Struck, ...]


@dataclass(frozen=True, slots=True)
class _Standing:
    """Stems of a pool that would be lost: the day of the first row, and by day and season, shape (days, seasons)."""

    first: date
    stems: IntArray


def tonight(plan: Plan, threat: Threat, *, min_c: float) -> Tonight:
    """What a threat would do to the farm as it stands, and what cutting and covering save.

    Args:
        plan: the plan.
        threat: what comes.
        min_c: how cold it gets in the open [deg C]; only frost asks it.

    Source: the farm's own model; nothing is drawn again.
    """
    harm = _harms(plan, threat, min_c)
    struck = [batch for batch in _in_the_ground(plan) if harm(batch) is not Harm.NOTHING]
    field, known, standing = _without(plan, harm)
    uncut = _replanned(plan, replace(plan.growth, field=field, known=known))
    cut = _replanned(plan, replace(plan.growth, field=field, known=_with_cut(plan, known, standing)))
    given = _given(plan, field, known, standing)
    rows = list(_to_cut(plan, struck, standing, given))
    closed = {one.bed.key for one in closed_beds(plan.farm, plan.today)}

    open_ones = [batch for batch in struck if batch.bed not in closed]
    covered = list(_to_cover(plan, [one for one in open_ones if takes_what_comes(harm(one))], min_c))
    seen = {batch.key for row in rows for batch in row.batches} | {one.batch.key for one in covered}
    changed = list(_changed(plan, uncut, cut))
    return Tonight(
        tuple(sorted(rows, key=lambda row: (-row.promised, -row.stands[1], row.crop.name))),
        tuple(sorted(covered, key=lambda one: (-one.to_come, one.crop.name, one.batch.key))),
        tuple(
            (one, plan.crops[one.variety]) for one in open_ones if one.key not in seen and takes_what_comes(harm(one))
        ),
        tuple(one for one in changed if one.cut < one.now - _NOTICED),
        tuple(one for one in changed if one.cut >= one.now - _NOTICED),
    )


def _in_the_ground(plan: Plan) -> list[Batch]:
    return [batch for batch in plan.growth.seen.batches if batch.is_in_the_ground]


def _harms(plan: Plan, threat: Threat, min_c: float) -> Callable[[Batch], Harm]:
    tunnels = {bed.key for bed in plan.farm.beds if bed.kind is BedKind.TUNNEL}

    def of_one(batch: Batch) -> Harm:
        if not batch.is_in_the_ground:
            return Harm.NOTHING
        kill_c, under_cover = plan.crops[batch.variety].kill_c, batch.bed in tunnels
        return harm_of(threat, kill_c=kill_c, under_cover=under_cover, min_c=min_c, wintering=_wintering(plan, batch))

    found = {batch.key: of_one(batch) for batch in plan.growth.seen.batches}
    return lambda batch: found[batch.key]


def _wintering(plan: Plan, batch: Batch) -> Wintering | None:
    forecast = plan.growth.forecast
    return None if forecast is None else forecast.wintering(batch.key, plan.today)


_Standings = dict[PoolKey, _Standing]
_Blocks = dict[PoolKey, tuple[Block, ...]]


def _without(plan: Plan, harm: Callable[[Batch], Harm]) -> tuple[_Blocks, dict[PoolKey, Block], _Standings]:
    """The field and the known stems without what is lost, and what stood ready of it."""
    growth = plan.growth
    field, known, standing = dict(growth.field), dict(growth.known), _Standings()
    for key in sorted({*growth.field, *growth.known}):
        batches = [batch for batch in growth.seen.batches if batch.product == key[0]]
        harms = {harm(batch) for batch in batches} - {Harm.NOTHING}
        if key[0].form is not Form.FRESH or not harms:
            continue
        spared = [batch for batch in batches if harm(batch) is Harm.NOTHING]
        if key in field:
            kept, stood = _split(plan, key, harm, batches)
            field.pop(key)
            field |= {key: kept} if kept else {}
            standing[key] = stood
        if key in known and not any(batch.is_in_the_ground for batch in spared):
            known, standing = _known_split(plan, key, known, standing)
    return field, known, standing


def _split(
    plan: Plan, key: PoolKey, harm: Callable[[Batch], Harm], batches: Sequence[Batch]
) -> tuple[tuple[Block, ...], _Standing]:
    """What stays of a pool, and what stands ready of the part that is struck; sowings that are spared keep theirs."""
    growth, (product, _) = plan.growth, key
    total = np.zeros((growth.days, growth.supply.seasons), np.int32)
    for block in growth.field[key]:
        row = (block.lots[0].ready - growth.first_day).days
        total[row : row + len(block.lots)] += block.stems
    tomorrow = (plan.today - growth.first_day).days + 1
    next_year = _next_year(growth)
    kept = total.copy()
    for rows, survive in (
        (slice(0, tomorrow), (Harm.NOTHING,)),
        (slice(tomorrow, next_year), (Harm.NOTHING, Harm.STEMS)),
        (slice(next_year, None), (Harm.NOTHING, Harm.STEMS, Harm.YEAR)),
    ):
        left = [batch for batch in batches if harm(batch) in survive]
        if len(left) < len(batches):
            kept[rows] = np.minimum(total, _stems_of(growth, key, left))[rows]
    first = max(0, tomorrow - len(plan.crops[product.variety].field_life.ages()))
    standing = _Standing(growth.first_day + timedelta(days=first), total[first:tomorrow] - kept[first:tomorrow])
    return _busy(growth, kept), standing


def _next_year(growth: Growth) -> int:
    """The row of the first day of the next growing year; the last, where it is beyond what is looked at."""
    day = None if growth.forecast is None else growth.forecast.next_growing_year
    return growth.days if day is None else min((day - growth.first_day).days, growth.days)


def _stems_of(growth: Growth, key: PoolKey, batches: Iterable[Batch]) -> IntArray:
    """The stems of some sowings in a pool, by day and season."""
    assert growth.forecast is not None, "field stems come from a forecast"
    found = np.zeros((growth.days, growth.supply.seasons), np.int32)
    for batch in batches:
        stems = growth.forecast.stems_of(batch.key, growth.first_day, growth.days).get(key[1] or None)
        if stems is not None:
            found += stems
    return found


def _busy(growth: Growth, stems: IntArray) -> tuple[Block, ...]:
    """The days on which some season has stems: a block, or none."""
    rows = np.flatnonzero(stems.any(axis=1))
    if not len(rows):
        return ()
    low, high = int(rows[0]), int(rows[-1]) + 1
    return (Block(standing_lots(growth.first_day + timedelta(days=low), high - low), packed(stems[low:high])),)


def _known_split(
    plan: Plan, key: PoolKey, known: Mapping[PoolKey, Block], standing: Mapping[PoolKey, _Standing]
) -> tuple[dict[PoolKey, Block], _Standings]:
    """Counted stems that stand are cut with the others; those in the store, and of days to come, stay."""
    block, life = known[key], plan.crops[key[0].variety].field_life
    first = life.oldest(plan.today)
    rows = [row for row, lot in enumerate(block.lots) if lot.cut is None and first <= lot.ready <= plan.today]
    if not rows:
        return dict(known), dict(standing)
    stays = [row for row in range(len(block.lots)) if row not in rows]
    left = Block(tuple(block.lots[row] for row in stays), block.stems[stays])
    stood = standing.get(key)
    stems = np.zeros((len(life.ages()), plan.growth.supply.seasons), np.int32)
    if stood is not None:
        at = (stood.first - first).days
        stems[at : at + len(stood.stems)] += stood.stems
    for row in rows:
        stems[(block.lots[row].ready - first).days] += block.stems[row]
    return {**known, key: left}, {**standing, key: _Standing(first, stems)}


def _with_cut(
    plan: Plan, known: Mapping[PoolKey, Block], standing: Mapping[PoolKey, _Standing]
) -> dict[PoolKey, Block]:
    """The known stems, and what stands ready as cut today."""
    found = dict(known)
    for key, stood in standing.items():
        lots = tuple(
            Lot(stood.first + timedelta(days=day), plan.today, None, _CUT_TONIGHT) for day in range(len(stood.stems))
        )
        before = found.get(key)
        if before is None:
            found[key] = Block(lots, packed(stood.stems))
            continue
        wide = np.broadcast_to(before.stems, (len(before.lots), stood.stems.shape[1]))
        found[key] = Block((*before.lots, *lots), packed(np.concatenate([wide, stood.stems])))
    return found


def _replanned(plan: Plan, growth: Growth) -> Plan:
    result = rematch(plan.result, plan.result.lines, growth.supply)
    return Plan(plan.farm, plan.today, growth, result, plan.settled)


def _given(
    plan: Plan,
    field: Mapping[PoolKey, tuple[Block, ...]],
    known: Mapping[PoolKey, Block],
    standing: Mapping[PoolKey, _Standing],
) -> dict[Product, list[tuple[DatedLine, int]]]:
    """In the season to expect, whom the stems cut today serve, by product."""
    weights = plan.result.supply.weights
    one = {
        key: _Standing(stood.first, expected_stems(stood.stems, weights)[:, np.newaxis].astype(np.int32))
        for key, stood in standing.items()
    }
    growth = replace(plan.growth, field=field, known=_with_cut(plan, known, one))
    supply: Supply = growth.quantile_supply(0.5)
    result = match(plan.result.lines, supply, plan.result.keeping)
    found: dict[Product, list[tuple[DatedLine, int]]] = {}
    for line, given in zip(result.lines, sources(result), strict=True):
        stems: dict[Product, int] = {}
        for source in given:
            if source.lot.key == _CUT_TONIGHT and line.line_class not in _NO_PROMISE:
                stems[source.product] = stems.get(source.product, 0) + source.stems
        for product, count in stems.items():
            found.setdefault(product, []).append((line, count))
    return found


def _to_cut(
    plan: Plan,
    struck: Iterable[Batch],
    standing: Mapping[PoolKey, _Standing],
    given: Mapping[Product, list[tuple[DatedLine, int]]],
) -> Iterator[ToCut]:
    closed = {one.bed.key for one in closed_beds(plan.farm, plan.today)}
    weights = plan.result.supply.weights
    for product in dict.fromkeys(key[0] for key in standing):
        crop = plan.crops[product.variety]
        stems = sum((stood.stems.sum(axis=0) for key, stood in standing.items() if key[0] == product), np.zeros(1))
        low, middle, high = whole_quantiles(np.atleast_2d(stems), LEVELS, weights)[:, 0]
        batches = tuple(one for one in struck if one.product == product and one.bed not in closed)
        if (middle > 0 or given.get(product)) and batches:
            yield ToCut(
                crop,
                batches,
                (int(low), int(middle), int(high)),
                tuple(sorted(given.get(product, ()), key=lambda one: (one[0].due, one[0].precedence))),
                plan.today + timedelta(days=crop.hold_days),
            )


def _to_cover(plan: Plan, struck: Iterable[Batch], min_c: float) -> Iterator[ToCover]:
    forecast = plan.growth.forecast
    tunnels = {bed.key for bed in plan.farm.beds if bed.kind is BedKind.TUNNEL}
    for batch in struck:
        crop = plan.crops[batch.variety]
        under_cover, hardy = batch.bed in tunnels, _wintering(plan, batch)
        saved = is_saved_by_cover(kill_c=crop.kill_c, under_cover=under_cover, min_c=min_c, wintering=hardy)
        if forecast is None or not saved:
            continue
        tomorrow = plan.today + timedelta(days=1)
        days = plan.growth.days - (tomorrow - plan.growth.first_day).days
        by_length = forecast.stems_of(batch.key, tomorrow, days)
        coming = sum((stems.sum(axis=0) for stems in by_length.values()), np.zeros(1))
        if coming.any():
            yield ToCover(batch, crop, int(whole_quantiles(np.atleast_2d(coming), (0.5,), forecast.weights)[0, 0]))


def _changed(plan: Plan, uncut: Plan, cut: Plan) -> Iterator[Struck]:
    """Promises that are less sure if nothing is cut, in the strict order."""
    without, with_cut = (_sureness(other.outlooks) for other in (uncut, cut))
    for found in plan.outlooks:
        key = (found.line.line, found.line.due)
        if found.line.is_spare or found.line.line_class in _NO_PROMISE:
            continue
        if without[key] < found.confidence - _NOTICED:
            yield Struck(found.line, found.confidence, without[key], with_cut[key])


def _sureness(outlooks: Iterable[LineOutlook]) -> dict[tuple[str, date], float]:
    return {(one.line.line, one.line.due): one.confidence for one in outlooks if not one.line.is_spare}
