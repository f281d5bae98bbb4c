"""The match: line by line in the strict order, every earlier line keeping what it was given of each pool.

Because what an earlier line took of each pool stays fixed, pools are independent when the next line comes: it takes
min(still wanted, most of one product, what can still be given in its window) from each pool in turn. So no flow over
products is needed, only the exact count per pool, for all seasons at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.counting import Count, Engine, exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import MatchResult, Take
from haulm.matching.supply import IntArray, Keeping, Supply
from haulm.matching.windows import Window
from haulm.matching.wishes import Wish, Wishes, products_named, strict_order


def match(lines: Iterable[DatedLine], supply: Supply, keeping: Keeping, *, engine: Engine | None = None) -> MatchResult:
    """Who gets which stems, in every season.

    Args:
        lines: the demand, in any order.
        supply: pools of stems over seasons; one season for an expected one.
        keeping: the farm's rules; it names every product that has a pool.
        engine: insist on one way to count, for tests; None takes the narrowest that fits each pool.

    Returns:
        What each line takes from each pool; unique, the same for any order of the inputs.

    Raises:
        CannotCount: an engine was insisted on that doesn't fit.

    Source: the rules of the project's own model (docs/engineer/model.md).
    """
    ordered = strict_order(lines)
    wishes = Wishes(ordered, supply, keeping)
    return MatchResult(ordered, supply, keeping, _fill(ordered, wishes, supply, engine))


def rematch(previous: MatchResult, lines: Iterable[DatedLine], supply: Supply) -> MatchResult:
    """The match of changed lines or pools under the same rules; only what the change can reach is worked out.

    Equal to a full match. Lines that share a product, directly or through other lines, reach one another; pools that
    are the same objects, or hold the same stems in the same lots, count as unchanged.

    Args:
        previous: an earlier match.
        lines: all lines that now stand, in any order.
        supply: all pools that now stand.

    Returns:
        The match of these lines and pools.
    """
    ordered = strict_order(lines)
    keeping = previous.keeping
    if not np.array_equal(supply.weights, previous.supply.weights):
        return match(ordered, supply, keeping)
    named = _Named(keeping, {*supply.by_product, *previous.supply.by_product})
    reached = _reached(previous, ordered, supply, named)
    fresh = tuple(line for line in ordered if not reached.isdisjoint(named.by(line)))
    wishes = Wishes(ordered, supply, keeping)
    takes = dict(zip(fresh, _fill(fresh, wishes, supply, None), strict=True))
    now = {(pool.product, pool.length_cm): place for place, pool in enumerate(supply.pools)}
    for line in ordered:
        if line not in takes:
            takes[line] = _moved(previous, line, now)
    return MatchResult(ordered, supply, keeping, tuple(takes[line] for line in ordered))


@dataclass(frozen=True, slots=True)
class _Ask:
    """One step of a line: a pool, the window's place in that pool, the product, the most it may ask there."""

    pool: int
    window: int
    product: Product
    wanted: int


def _fill(
    lines: tuple[DatedLine, ...], wishes: Wishes, supply: Supply, engine: Engine | None
) -> tuple[tuple[Take, ...], ...]:
    found = [wishes.of(line) for line in lines]
    counts, windows = _counts(found, wishes, supply, engine)
    asks = [_asks(wish, windows, supply) for wish in found]
    _narrow(found, asks, counts)
    return tuple(_serve(wish, steps, counts) for wish, steps in zip(found, asks, strict=True))


def _counts(
    wishes: Sequence[Wish], known: Wishes, supply: Supply, engine: Engine | None
) -> tuple[dict[int, Count], dict[int, dict[Window, int]]]:
    """A count per pool that somebody may take from, and the place of each window in it."""
    asked: dict[int, dict[Window, None]] = {}
    for wish in wishes:
        for pool in wish.pools:
            asked.setdefault(pool, {})[wish.window] = None
    counts: dict[int, Count] = {}
    places: dict[int, dict[Window, int]] = {}
    for pool, windows in asked.items():
        ordered = sorted(windows, key=lambda window: window.due)
        view = pool_view(supply.pools[pool], [known.acceptance.mask(pool, window) for window in ordered])
        counts[pool] = exact_count(view, engine)
        places[pool] = dict(zip(ordered, view.place, strict=True))
    return counts, places


def _asks(wish: Wish, windows: dict[int, dict[Window, int]], supply: Supply) -> list[_Ask]:
    stems = wish.line.stems
    wanted = stems if wish.most_each is None else min(stems, wish.most_each)
    return [_Ask(pool, windows[pool][wish.window], supply.pools[pool].product, wanted) for pool in wish.pools]


def _narrow(wishes: Sequence[Wish], asks: list[list[_Ask]], counts: dict[int, Count]) -> None:
    """Tell each count the most it can be asked; a line that is sure of its first pool asks no other."""
    wanted: dict[int, dict[int, int]] = {pool: {} for pool in counts}
    for steps in asks:
        for ask in steps:
            wanted[ask.pool][ask.window] = wanted[ask.pool].get(ask.window, 0) + ask.wanted
    touched = set(counts)
    while touched:
        for pool in touched:
            known = wanted[pool]
            counts[pool].narrow([known[window] for window in range(len(known))])
        touched = set()
        for place, steps in enumerate(asks):
            if len(steps) > 1 and steps[0].wanted == wishes[place].line.stems and _sure(steps[0], counts):
                for ask in steps[1:]:
                    wanted[ask.pool][ask.window] -= ask.wanted
                    touched.add(ask.pool)
                asks[place] = steps[:1]


def _sure(ask: _Ask, counts: dict[int, Count]) -> bool:
    return counts[ask.pool].is_safe(ask.window)


def _serve(wish: Wish, steps: list[_Ask], counts: dict[int, Count]) -> tuple[Take, ...]:
    """Serve one line: from each pool in turn as much as it may, then the minimum, then book it."""
    want = np.array([wish.line.stems], np.int32)
    room: dict[Product, IntArray] = {}
    taken: list[tuple[_Ask, IntArray]] = []
    for ask in steps:
        most = counts[ask.pool].most(ask.window)
        stems = want if most is None else np.minimum(want, most)
        if wish.most_each is not None:
            left = room.get(ask.product, np.array([wish.most_each], np.int32))
            stems = np.minimum(stems, left)
            room[ask.product] = left - stems
        taken.append((ask, stems))
        want = want - stems
        if not want.any():
            break
    worth = wish.line.stems - want >= wish.line.minimum
    if not worth.all():
        taken = [(ask, np.where(worth, stems, np.int32(0))) for ask, stems in taken]
    takes = []
    for ask, stems in taken:
        booked = _compact(stems)
        if booked.size > 1 or booked[0]:
            counts[ask.pool].give(ask.window, booked)
            takes.append(Take(ask.pool, booked))
    return tuple(takes)


def _compact(stems: IntArray) -> IntArray:
    """One number where every season has the same."""
    return stems[:1].copy() if stems.size > 1 and bool((stems == stems[0]).all()) else stems


class _Named:
    """Products each line may take, worked out once."""

    def __init__(self, keeping: Keeping, products: set[Product]) -> None:
        self._keeping = keeping
        self._products = tuple(sorted(products))
        self._known: dict[DatedLine, frozenset[Product]] = {}

    def by(self, line: DatedLine) -> frozenset[Product]:
        if line not in self._known:
            self._known[line] = frozenset(products_named(line, self._keeping, self._products))
        return self._known[line]


def _reached(previous: MatchResult, lines: tuple[DatedLine, ...], supply: Supply, named: _Named) -> set[Product]:
    """Products whose pools changed, or that a changed line names, and all that share a line with them."""
    old, new = set(previous.lines), set(lines)
    reached = {product for line in old ^ new for product in named.by(line)}
    reached |= _changed_products(previous.supply, supply)
    waiting = [named.by(line) for line in old | new]
    grown = True
    while grown:
        joined = [products for products in waiting if not reached.isdisjoint(products)]
        grown = any(not products <= reached for products in joined)
        reached.update(*joined)
        waiting = [products for products in waiting if reached.isdisjoint(products)]
    return reached


def _changed_products(old: Supply, new: Supply) -> set[Product]:
    before = {(pool.product, pool.length_cm): pool for pool in old.pools}
    after = {(pool.product, pool.length_cm): pool for pool in new.pools}
    return {
        key[0]
        for key in before.keys() | after.keys()
        if key not in before or key not in after or not before[key].same_as(after[key])
    }


def _moved(previous: MatchResult, line: DatedLine, now: dict[tuple[Product, int], int]) -> tuple[Take, ...]:
    """The takes of an untouched line, with the places that pools have now."""
    found = []
    for take in previous.takes[previous.places[line]]:
        pool = previous.pool(take)
        found.append(Take(now[(pool.product, pool.length_cm)], take.stems))
    return tuple(found)
