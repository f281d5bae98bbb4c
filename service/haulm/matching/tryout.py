"""More stems tried out: what some lines would get of them, without matching everything again.

Exact, and equal to a full match: a line's takes rest on its pools and on what earlier lines took of them. So a line is
served again only where a pool it may take from holds other stems, or where an earlier line now takes otherwise from
it; lines after the last one watched are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from haulm.farm.products import Choice, Product
from haulm.matching.lazy_counts import (
    MadeWhenAsked,
    NumberedCount,
    WindowNumbers,
    before_of,
    steps_of,
    taken_of,
    turned_pools,
)
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import serve_line
from haulm.matching.supply import Block, IntArray, Pool, Supply
from haulm.matching.windows import window_of
from haulm.matching.wishes import Wish, Wishes, chosen

PoolName = tuple[Product, int]
"""Product and length class [cm]."""


class Tryout:
    """A match on which more stems can be tried out again and again."""

    def __init__(self, result: MatchResult, watched: Iterable[int]) -> None:
        """The lines watched are named by their places in the strict order; one at least."""
        self.result = result
        self.watched = tuple(watched)
        self.last = max(self.watched)
        self._looked_at: set[Product] = set()
        self.numbers = WindowNumbers()
        self._by_choice: dict[Choice, frozenset[Product]] = {}

    def filled(self, added: Mapping[PoolName, Sequence[Block]]) -> tuple[IntArray, ...]:
        """Stems each watched line gets when blocks of stems are added.

        Args:
            added: blocks by product and length, shape of their stems (lots, seasons) or (lots, 1) [stems].

        Returns:
            Per watched line, shape (seasons,) [stems].
        """
        takes = _Run(self, added).takes()
        return tuple(_total(takes[line], self.result.supply.seasons) for line in self.watched)

    @cached_property
    def named(self) -> tuple[frozenset[Product], ...]:
        """The products each line up to the last watched one may take."""
        return tuple(self._names(line) for line in range(self.last + 1))

    @cached_property
    def naming(self) -> dict[Product, list[int]]:
        """The lines up to the last watched one that may take a product."""
        found: dict[Product, list[int]] = {}
        for place, products in enumerate(self.named):
            for product in products:
                found.setdefault(product, []).append(place)
        return found

    def look_at(self, products: frozenset[Product]) -> None:
        """Work out the wishes of the lines that may take some products, before any stems are added, once."""
        for product in products - self._looked_at:
            for place in self.naming.get(product, ()):
                self.result.wishes.of(self.result.lines[place])
        self._looked_at |= products

    def _names(self, place: int) -> frozenset[Product]:
        line = self.result.lines[place]
        own = () if line.product is None else (line.product,)
        of_choice: frozenset[Product] = frozenset() if line.choice is None else self._answering(line.choice)
        return of_choice.union(own, line.substitutes)

    def _answering(self, choice: Choice) -> frozenset[Product]:
        if choice not in self._by_choice:
            keeping = self.result.keeping
            self._by_choice[choice] = frozenset(item for item in keeping.products if chosen(choice, item, keeping))
        return self._by_choice[choice]


class _Run:
    """One pass down the strict order with more stems in some pools."""

    def __init__(self, tryout: Tryout, added: Mapping[PoolName, Sequence[Block]]) -> None:
        self._tryout = tryout
        self._supply, changed = _with_blocks(tryout.result.supply, added)
        tryout.look_at(frozenset(product for product, _ in added))
        self._wishes: Wishes = tryout.result.wishes.after(self._supply, changed)
        self._changed = frozenset(product for product, _ in added)
        self._turned = set(changed)
        self._products_turned = set(self._changed)
        self._takes = list(tryout.result.takes[: tryout.last + 1])
        self._counts: dict[int, NumberedCount] = {}
        self._now = 0

    def takes(self) -> list[tuple[Take, ...]]:
        """The takes of every line up to the last watched one."""
        for place in range(self._tryout.last + 1):
            if self._is_touched(place):
                self._serve(place)
            else:
                self._book(place)
        return self._takes

    def _is_touched(self, place: int) -> bool:
        if self._tryout.named[place].isdisjoint(self._products_turned):
            return False
        return not self._turned.isdisjoint(self._wish(place).pools)

    def _wish(self, place: int) -> Wish:
        """What a line may take; as before where none of its products has more stems."""
        as_before = self._changed.isdisjoint(self._tryout.named[place])
        wishes = self._tryout.result.wishes if as_before else self._wishes
        return wishes.of(self._tryout.result.lines[place])

    def _serve(self, place: int) -> None:
        self._now = place
        wish = self._wish(place)
        then = self._tryout.result.wishes.of(wish.line).pools
        before = before_of(wish, then, self._takes[place], self._turned)
        counts = MadeWhenAsked(self._counts, self._count)
        found = serve_line(wish, steps_of(wish, self._supply, self._tryout.numbers), counts, before)
        for pool in turned_pools(self._takes[place], found):
            self._turn(pool)
        self._takes[place] = found

    def _book(self, place: int) -> None:
        """Tell the counts what a line takes as before."""
        for take in self._takes[place]:
            count = self._counts.get(take.pool)
            if count is not None:
                count.give(self._tryout.numbers[window_of(self._tryout.result.lines[place])], take.stems)

    def _count(self, pool: int) -> NumberedCount:
        """The count of a pool as the lines before this one leave it."""
        naming = self._tryout.naming.get(self._supply.pools[pool].product, [])
        askers = [
            (wish, taken_of(pool, self._takes[place]) if place < self._now else None)
            for place in naming
            if pool in (wish := self._wish(place)).pools
        ]
        return NumberedCount(pool, self._wishes.blanks, askers, self._tryout.numbers)

    def _turn(self, pool: int) -> None:
        self._turned.add(pool)
        self._products_turned.add(self._supply.pools[pool].product)


def _with_blocks(supply: Supply, added: Mapping[PoolName, Sequence[Block]]) -> tuple[Supply, frozenset[int]]:
    """The supply with blocks added, every pool in its place and new ones last; and the places that changed."""
    pools = list(supply.pools)
    places = {(pool.product, pool.length_cm): place for place, pool in enumerate(pools)}
    changed: set[int] = set()
    for (product, length_cm), blocks in added.items():
        place = places.get((product, length_cm))
        if place is None:
            place = len(pools)
            pools.append(Pool(product, length_cm, tuple(blocks)))
        else:
            pools[place] = Pool(product, length_cm, (*pools[place].blocks, *blocks))
        changed.add(place)
    return Supply(tuple(pools), supply.seasons, supply.weights), frozenset(changed)


def _total(takes: Iterable[Take], seasons: int) -> IntArray:
    found = np.zeros(seasons, np.int32)
    for take in takes:
        found += take.stems
    return found
