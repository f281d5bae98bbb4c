"""What can still close a gap of a plan: the pure search of advice, fed with looks and proofs from real matches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, candidates
from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search, sure_level
from haulm.advice.options.sketch import PROBE_PLACES, Look, Sketch
from haulm.advice.options.succession import sowing_options
from haulm.advice.pricing import answering
from haulm.advice.room import Room
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.forecast.inputs import Sowing
from haulm.matching.supply import Block, Pool
from haulm.matching.tryout import PoolName, Tryout
from haulm.matching.windows import accepted_lots, window_of
from haulm.matching.wishes import most_each
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan

_KINDS = ("succession", "plugs", "buy_in", "tell")
_KINDS_TRIED = 4
"""For a choice, the kinds that flower soonest are tried; the rest would only come later."""
_SKETCHED_SEASONS = 500
"""So many seasons, evenly picked, are enough for a sketch."""


def remedies(plan: Plan, gap: Gap, level: float) -> tuple[Option, ...]:
    """The options of a gap that can still help, closing ones first: own sowings before bought plants.

    They are worked out once for a plan, a gap and a level.
    """
    key = (gap.key, level)
    if key not in plan.remembered_options:
        plan.remembered_options[key] = _worked_out(plan, gap, level)
    return plan.remembered_options[key]


def known_decide_by(plan: Plan, gap: Gap, level: float) -> date:
    """The last day on which a closing option of a gap can still be taken, where its options were worked out already.

    Where none of them closes it, the day to tell by; until they are worked out, the rule of thumb.
    """
    options = plan.remembered_options.get((gap.key, level))
    if options is None:
        return rule_of_thumb_day(plan, gap)
    closing = [option.decide_by for option in options if option.closes]
    return max(closing) if closing else _telling(plan, gap, Proof(0.0, 0.0)).decide_by


def rule_of_thumb_day(plan: Plan, gap: Gap) -> date:
    """The day by which a sowing would have to be made, by the calendar alone; once that has passed, the day to tell by.

    The first due day, less the weeks to flower of the quickest kind that answers, less a week to be safe.

    Source: growers' usual sow-by rule (common practice). The options of the gap give the proved day.
    """
    first = min(short.line.due for short in gap.shortfalls)
    weeks = [plan.crops[product.variety].weeks_to_flower for product in _products(plan, gap.shortfalls[0].line)]
    if weeks:
        sow_by = first - timedelta(days=round(min(weeks) * 7) + 7)
        if sow_by >= plan.today:
            return sow_by
    return _telling(plan, gap, Proof(0.0, 0.0)).decide_by


def _worked_out(plan: Plan, gap: Gap, level: float) -> tuple[Option, ...]:
    before = Proof(gap.confidence, gap.expected_missing)
    found: list[Option] = []
    if plan.growth.forecast is not None and plan.growth.forecast.seasons is not None:
        found = sowing_options(_search(plan, gap, level, before))
    found.append(buying_in(gap, before, today=plan.today, condition_days=plan.farm.site.condition_days))
    found.append(_telling(plan, gap, before))
    open_still = [option for option in found if option.decide_by >= plan.today]
    return tuple(sorted(open_still, key=_preference))


def _preference(option: Option) -> tuple[bool, int, int, int]:
    """What closes comes first; then seed before bought plants before bought stems; then the smallest."""
    places = sum(batch.places for batch in option.batches)
    return (not option.closes, _KINDS.index(option.kind), places, -option.decide_by.toordinal())


def _telling(plan: Plan, gap: Gap, before: Proof) -> Option:
    notice = {customer.key: customer.notice_days for customer in plan.farm.customers}
    return telling(gap, before, notice_days=notice, today=plan.today)


def _search(plan: Plan, gap: Gap, level: float, before: Proof) -> Search:
    farm = plan.farm
    lines = [short.line for short in gap.shortfalls]
    each = [most_each(line) for line in lines]
    every = max(1, plan.result.supply.seasons // _SKETCHED_SEASONS)
    missing = np.array([plan.missing(line)[::every] for line in lines], np.float32)
    most = np.array([np.inf if limit is None else limit for limit in each], np.float32)
    weights = plan.result.supply.weights[::every]
    return Search(
        level=level,
        before=before,
        crops=dict(plan.crops),
        room=Room.of(farm.beds, plan.growth.seen.batches, plan.crops),
        batches=farm.batches,
        runs=tuple(_runs(plan, lines)),
        look=_looks(plan, lines, every),
        sketch=Sketch(missing, most, weights / weights.sum(), sure_level(level)),
        prove=_proofs(plan, lines),
        cost=lambda places: places * farm.site.prices.seed_minor_per_place or None,
    )


def _runs(plan: Plan, lines: list[DatedLine]) -> Iterator[tuple[Candidate, ...]]:
    last_due = max(line.due for line in lines)
    for product in _products(plan, lines[0])[:_KINDS_TRIED]:
        crop = plan.crops[product.variety]
        found = list(candidates(plan.farm.site, crop, product, today=plan.today, last_due=last_due))
        for method in dict.fromkeys(candidate.method for candidate in found):
            yield tuple(candidate for candidate in found if candidate.method is method)


def _products(plan: Plan, line: DatedLine) -> list[Product]:
    """The products that answer a line, the quickest to flower first."""
    if line.product is not None:
        return [line.product]
    assert line.choice is not None
    found = answering(line.choice, plan.crops)
    return sorted(found, key=lambda product: (plan.crops[product.variety].weeks_to_flower, product))


def _proofs(plan: Plan, lines: list[DatedLine]) -> Callable[[tuple[Batch, ...]], Proof]:
    """Re-matches of a gap's lines with batches added, equal to those of the whole farm with these batches."""
    places = [plan.result.places[line] for line in lines]
    tryout = Tryout(plan.result, places)
    known: dict[Batch, tuple[tuple[PoolName, Block], ...]] = {}
    weights = plan.result.supply.weights

    def blocks_of(batch: Batch) -> tuple[tuple[PoolName, Block], ...]:
        if batch not in known:
            known[batch] = tuple(plan.growth.blocks_of(_sowing(plan, batch)).items())
        return known[batch]

    def prove(batches: tuple[Batch, ...]) -> Proof:
        added: dict[PoolName, list[Block]] = {}
        for batch in batches:
            for name, block in blocks_of(batch):
                added.setdefault(name, []).append(block)
        missing = [line.stems - filled for line, filled in zip(lines, tryout.filled(added), strict=True)]
        sure = min(float(weights[stems == 0].sum()) if stems.any() else 1.0 for stems in missing)
        return Proof(min(sure, 1.0), float(sum(stems @ weights for stems in missing)))

    return prove


def _looks(plan: Plan, lines: list[DatedLine], every: int) -> Callable[[Candidate], Look]:
    """Quick looks at candidates, each taken once; every so many seasons are looked at."""
    known: dict[Candidate, Look] = {}

    def look(candidate: Candidate) -> Look:
        if candidate not in known:
            known[candidate] = _look(plan, lines, candidate, every)
        return known[candidate]

    return look


def _look(plan: Plan, lines: list[DatedLine], candidate: Candidate, every: int) -> Look:
    seasons = len(range(0, plan.result.supply.seasons, every))
    before = np.zeros((len(lines), seasons), np.float32)
    upto = np.zeros_like(before)
    blocks = plan.growth.blocks_of(_sowing(plan, candidate.batch("look", PROBE_PLACES)))
    for (product, length_cm), block in blocks.items():
        running = np.zeros((len(block.lots) + 1, seasons), np.float32)
        np.cumsum(block.stems[:, ::every], axis=0, out=running[1:])
        for row, (first, last) in enumerate(_reach(plan, lines, Pool(product, length_cm, (block,)))):
            before[row] += running[first]
            upto[row] += running[last]
    return Look(candidate, before, upto)


def _reach(plan: Plan, lines: Iterable[DatedLine], pool: Pool) -> Iterator[tuple[int, int]]:
    """The lots of a pool that each line may take, as places from and to; lots that come too late for it are behind."""
    for line in lines:
        accepted = np.flatnonzero(accepted_lots(window_of(line), pool.days, pool.product, plan.growth.keeping))
        if pool.length_cm < line.min_length_cm:
            yield 0, 0
        elif len(accepted):
            yield int(accepted[0]), int(accepted[-1]) + 1
        else:
            past = int((pool.days.ready < line.due.toordinal()).sum())
            yield past, past


def _sowing(plan: Plan, batch: Batch) -> Sowing:
    return sowing_of(plan.farm, batch, plan.crops[batch.variety])
