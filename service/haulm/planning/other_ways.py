"""What beside a sowing can close a gap of a plan: what each way is worth trying with, the most promising first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.ask_later import ask_later, may_be_asked
from haulm.advice.options.dried import Heap, dried
from haulm.advice.options.fleece import fleece
from haulm.advice.options.lift import more_of_one
from haulm.advice.options.move_cut import move_cut
from haulm.advice.options.option import Option
from haulm.advice.options.situation import Situation, Trial
from haulm.advice.options.substitute import stands_in, substitute
from haulm.advice.options.swap import Swap, swap
from haulm.advice.pricing import answering
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import Form
from haulm.matching.reading.free_to_promise import still_free, sure_stems
from haulm.matching.supply import Block, IntArray, Lot
from haulm.matching.windows import Window, accepted_lots, window_of
from haulm.planning.fleece import coverable, supply_under
from haulm.planning.line_trials import LineTrials
from haulm.planning.plan import Plan

_LEAST_GAIN = 0.4
"""Extra cut days are tried where they bring this share of the missing stems within reach."""
_STEP_DAYS = 7


def other_ways(plan: Plan, situation: Situation) -> list[Option]:
    """The ways that close a gap or help enough: an extra cut, a swap, a substitute, stems to dry, asking somebody."""
    trials = LineTrials(plan, situation)
    holders = _holders(plan, situation)
    last_first = sorted(holders, key=lambda line: line.precedence, reverse=True)
    to_ask = sorted(last_first, key=lambda line: (-line.class_rank, -holders[line]))
    refusals = _refusals(plan)
    found = [
        move_cut(situation, list(_rounds(plan, situation)), trials.with_cuts),
        swap(situation, list(_swaps(situation, holders)), trials.with_lines),
        substitute(
            situation,
            list(_offers(plan, situation)),
            lambda line, product: (
                product.variety not in refusals.get(line.line, ()) and _stands_in(plan, line, product)
            ),
            trials.with_lines,
        ),
        dried(situation, list(_heaps(plan, situation)), lambda heap: _with_heap(plan, trials, heap)),
        ask_later(situation, [line for line in to_ask if may_be_asked(situation, line)], trials.with_lines),
        fleece(situation, list(coverable(plan, situation)), lambda one: trials.with_supply(supply_under(plan, one))),
        more_of_one(situation, trials.with_lines),
    ]
    return [option for option in found if option is not None]


def _holders(plan: Plan, situation: Situation) -> dict[DatedLine, float]:
    """Lines before the short ones that hold stems which these could use, and how many of what they lack on average."""
    result, weights = plan.result, plan.result.supply.weights
    found: dict[DatedLine, float] = {}
    for line in situation.lines:
        missing = plan.missing(line)
        for pool in result.candidates.of(line).pools:
            mask = result.candidates.acceptance.mask(pool, window_of(line))
            for place, stems in result.takers.get(pool, ()):
                taker = result.lines[place]
                if place >= result.places[line] or taker in situation.lines:
                    continue
                if (mask & result.candidates.acceptance.mask(pool, window_of(taker))).any():
                    found[taker] = found.get(taker, 0.0) + float(np.minimum(missing, stems) @ weights)
    return {line: stems for line, stems in found.items() if stems > 0}


def _swaps(situation: Situation, holders: dict[DatedLine, float]) -> Iterator[Swap]:
    wanted = {line.product for line in situation.lines}
    for line in sorted(holders, key=lambda line: (-holders[line], line.precedence)):
        if line.product is not None and not line.is_spare:
            yield from (Swap(line, other) for other in line.substitutes if other not in wanted)


def _refusals(plan: Plan) -> dict[str, frozenset[str]]:
    """By line key, the varieties that must not stand in: what the order calls unacceptable, all where none may."""
    every = frozenset(plan.crops)
    refused = {order.key: frozenset(order.unacceptable) for order in plan.farm.orders}
    return {
        line.key: every if line.no_substitute else refused.get(line.order, frozenset())
        for line in plan.farm.order_lines
    }


def _stands_in(plan: Plan, line: DatedLine, product: Product) -> bool:
    kept = plan.growth.keeping.products
    return stands_in(line, product, kept[product], None if line.product is None else kept[line.product])


def _offers(plan: Plan, situation: Situation) -> Iterator[Product]:
    """Products that might stand in, by how much of what is missing they have left over, most first."""
    result = plan.result
    found: dict[Product, float] = {}
    for line in situation.lines:
        missing = plan.missing(line)
        for product in result.supply.by_product:
            if _stands_in(plan, line, product):
                left = still_free(result, product, [window_of(line)], line.min_length_cm)[0]
                helped = float(np.minimum(missing, left) @ result.supply.weights)
                found[product] = found.get(product, 0.0) + helped
    yield from sorted((product for product in found if found[product] > 0), key=lambda one: (-found[one], one))


@dataclass(frozen=True)
class _Cuts:
    """Extra cut days, and the stems that they bring within reach of the short lines on average."""

    days: tuple[date, ...]
    stems: float


def _rounds(plan: Plan, situation: Situation) -> Iterator[tuple[date, ...]]:
    """Extra cuts on one weekday before each due date, by the stems that they bring within reach, most first."""
    keeping = plan.result.keeping
    worked = {day.iso for day in plan.farm.site.work_days}
    found = [_cuts(plan, situation, weekday) for weekday in sorted(worked - keeping.weekdays)]
    for cuts in sorted(found, key=lambda cuts: (-cuts.stems, cuts.days)):
        if cuts.stems > _LEAST_GAIN * situation.before.missing:
            yield cuts.days


def _cuts(plan: Plan, situation: Situation, weekday: int) -> _Cuts:
    days: set[date] = set()
    stems = 0.0
    for line in situation.lines:
        ends = line.due - timedelta(days=plan.result.keeping.condition_days)
        day = ends - timedelta(days=(ends.isoweekday() - weekday) % 7)
        gained = _gained(plan, line, day) if day >= plan.today else 0.0
        if gained > 0:
            days.add(day)
            stems += gained
    return _Cuts(tuple(sorted(days)), stems)


def _gained(plan: Plan, line: DatedLine, day: date) -> float:
    """Stems of a line's pools that only a cut on this day brings within its reach, on average."""
    result = plan.result
    more = replace(result.keeping, extra_cut_days=frozenset({day}))
    total = 0.0
    for product in _named(plan, line):
        for place in result.supply.by_product.get(product, ()):
            pool = result.supply.pools[place]
            if pool.length_cm >= line.min_length_cm:
                now = result.candidates.acceptance.mask(place, window_of(line))
                then = accepted_lots(window_of(line), pool.days, product, more)
                total += float(result.candidates.mean_stems(place)[then & ~now].sum())
    return min(total, float(plan.missing(line) @ result.supply.weights))


def _named(plan: Plan, line: DatedLine) -> tuple[Product, ...]:
    of_choice = () if line.choice is None else answering(line.choice, plan.crops)
    own = () if line.product is None else (line.product,)
    return tuple(dict.fromkeys((*own, *of_choice, *line.substitutes)))


def _heaps(plan: Plan, situation: Situation) -> Iterator[Heap]:
    """Left-over stems to hang, week by week, for the dried products that the lines take; most stems first."""
    last_due = max(line.due for line in situation.lines)
    total: IntArray = np.array([plan.missing(line) for line in situation.lines], np.int32).sum(axis=0, dtype=np.int32)
    # What is hung goes to any of the lines: enough for the one that has to be surest.
    level = max(situation.gap.levels)
    wanted = _enough(plan, total, level)
    found: list[Heap] = []
    for product in _dried_products(plan, situation.lines):
        dry_days = timedelta(days=plan.crops[product.variety].dry_days)
        days = list(_weekly(plan.today, last_due - dry_days))
        left = still_free(plan.result, Product(product.variety), [Window(day) for day in days]) if days else None
        if left is not None:
            sure = sure_stems(left, plan.result.supply.weights, level)
            found += [
                Heap(product, day, day + dry_days, min(wanted, stems))
                for day, stems in zip(days, sure.tolist(), strict=True)
                if stems > 0
            ]
    yield from sorted(found, key=lambda heap: (-heap.stems, heap.day, heap.product))


def _enough(plan: Plan, missing: IntArray, level: float) -> int:
    """Stems that cover what is missing in seasons that weigh at least the level, shape of missing (seasons,)."""
    return -int(sure_stems(-missing[np.newaxis, :], plan.result.supply.weights, level)[0])


def _dried_products(plan: Plan, lines: Iterable[DatedLine]) -> Iterator[Product]:
    named = dict.fromkeys(product for line in lines for product in _named(plan, line))
    return (product for product in named if product.form is Form.DRIED)


def _weekly(first: date, last: date) -> Iterator[date]:
    while first <= last:
        yield first
        first += timedelta(days=_STEP_DAYS)


def _with_heap(plan: Plan, trials: LineTrials, heap: Heap) -> Trial:
    left = still_free(plan.result, Product(heap.product.variety), [Window(heap.day)])
    keep = plan.crops[heap.product.variety].dried_keep_days
    until = None if keep is None else heap.dry + timedelta(days=keep)
    stems = np.minimum(left, np.int32(heap.stems))
    return trials.with_block((heap.product, 0), Block((Lot(heap.dry, usable_until=until, key="hung"),), stems))
