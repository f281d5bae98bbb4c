"""The match: who gets which stems, in every season; whole, or only what a change can reach."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.counting import Engine
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import served
from haulm.matching.supply import Keeping, Supply
from haulm.matching.wishes import Wishes, place_in_order, products_named, strict_order


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
    return MatchResult(ordered, supply, keeping, served(ordered, wishes, engine=engine))


def rematch(previous: MatchResult, lines: Iterable[DatedLine], supply: Supply) -> MatchResult:
    """The match of changed lines or pools under the same rules; only what the change can reach is worked out.

    Equal to a full match. A changed line reaches lines after it that share a product with it, directly or through such
    lines; a changed pool reaches every line that shares its product. Pools that are the same objects, or hold the same
    stems in the same lots, count as unchanged.

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
    change = _Change(previous, ordered, supply)
    fresh = tuple(line for line in ordered if change.reaches(line))
    takes = {line: change.kept_takes(line) for line in ordered if not change.reaches(line)}
    kept = [(line, take) for line, found in takes.items() for take in found]
    takes.update(zip(fresh, served(fresh, change.wishes, kept), strict=True))
    return MatchResult(ordered, supply, keeping, tuple(takes[line] for line in ordered))


class _Change:
    """What differs between two matches, and whom it reaches."""

    def __init__(self, previous: MatchResult, lines: tuple[DatedLine, ...], supply: Supply) -> None:
        self.wishes = Wishes(lines, supply, previous.keeping)
        self._previous = previous
        self._places = {(pool.product, pool.length_cm): place for place, pool in enumerate(supply.pools)}
        self._products = tuple({*supply.by_product, *previous.supply.by_product})
        self._named: dict[DatedLine, frozenset[Product]] = {}
        lines_changed = set(lines) ^ set(previous.lines)
        pools_changed = _changed_products(previous.supply, supply)
        self._products_reached = pools_changed | {product for line in lines_changed for product in self._names(line)}
        lines_changed |= {line for line in lines if self._turns(line)}
        self._since = None if pools_changed else min(map(place_in_order, lines_changed), default=None)
        self._everybody = bool(pools_changed)
        self._lines_changed = lines_changed
        self._spread({*lines, *previous.lines})

    def reaches(self, line: DatedLine) -> bool:
        """Whether a line must be served anew."""
        return line in self._lines_changed or (
            self._comes_after(line) and not self._products_reached.isdisjoint(self._names(line))
        )

    def kept_takes(self, line: DatedLine) -> tuple[Take, ...]:
        """The takes of an untouched line, with the places that pools have now."""
        found: list[Take] = []
        for take in self._previous.takes[self._previous.places[line]]:
            pool = self._previous.pool(take)
            found.append(Take(self._places[pool.product, pool.length_cm], take.stems))
        return tuple(found)

    def _names(self, line: DatedLine) -> frozenset[Product]:
        if line not in self._named:
            self._named[line] = frozenset(products_named(line, self._previous.keeping, self._products))
        return self._named[line]

    def _comes_after(self, line: DatedLine) -> bool:
        return self._everybody or (self._since is not None and place_in_order(line) >= self._since)

    def _turns(self, line: DatedLine) -> bool:
        """Whether a choice line now takes its products in another order."""
        if (
            line.choice is None
            or line not in self._previous.places
            or self._products_reached.isdisjoint(self._names(line))
        ):
            return False
        before = [self._previous.supply.pools[pool] for pool in self._previous.wishes.of(line).pools]
        now = [self.wishes.supply.pools[pool] for pool in self.wishes.of(line).pools]
        return [(pool.product, pool.length_cm) for pool in before] != [(pool.product, pool.length_cm) for pool in now]

    def _spread(self, lines: set[DatedLine]) -> None:
        """Reach all products that a line after the change shares with those already reached."""
        waiting = [self._names(line) for line in lines if self._comes_after(line)]
        grown = True
        while grown:
            joined = [products for products in waiting if not self._products_reached.isdisjoint(products)]
            grown = any(not products <= self._products_reached for products in joined)
            self._products_reached.update(*joined)
            waiting = [products for products in waiting if self._products_reached.isdisjoint(products)]


def _changed_products(old: Supply, new: Supply) -> set[Product]:
    before = {(pool.product, pool.length_cm): pool for pool in old.pools}
    after = {(pool.product, pool.length_cm): pool for pool in new.pools}
    return {
        key[0]
        for key in before.keys() | after.keys()
        if key not in before or key not in after or not before[key].same_as(after[key])
    }
