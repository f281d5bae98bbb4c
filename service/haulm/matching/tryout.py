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
from haulm.matching.counting import Count, exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import asks_of, serve_line
from haulm.matching.supply import Block, IntArray, Pool, Supply
from haulm.matching.windows import Window, window_of
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

    def _names(self, place: int) -> frozenset[Product]:
        line = self.result.lines[place]
        own = () if line.product is None else (line.product,)
        of_choice = frozenset() if line.choice is None else self._answering(line.choice)
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
        self._wishes: Wishes = tryout.result.wishes.after(self._supply, frozenset(changed))
        self._products_changed = frozenset(product for product, _ in added)
        self._turned = set(changed)
        self._products_turned = set(self._products_changed)
        self._takes: list[tuple[Take, ...]] = list(tryout.result.takes[: tryout.last + 1])
        self._counts = _Counts(self)

    def takes(self) -> list[tuple[Take, ...]]:
        """The takes of every line up to the last watched one."""
        for place, names in enumerate(self._tryout.named):
            if names.isdisjoint(self._products_turned):
                self._counts.book(place, self._takes[place])
                continue
            wish = self.wish(place)
            if self._turned.isdisjoint(wish.pools):
                self._counts.book(place, self._takes[place])
                continue
            self._counts.now = place
            found = serve_line(wish, asks_of(wish, _Anywhere(self._counts), self._supply), self._counts)
            self._note(self._takes[place], found)
            self._takes[place] = found
        return self._takes

    def wish(self, place: int) -> Wish:
        """What a line may take; as before where none of its products holds other stems."""
        wishes = self._wishes
        if self._products_changed.isdisjoint(self._tryout.named[place]):
            wishes = self._tryout.result.wishes
        return wishes.of(self._tryout.result.lines[place])

    def _note(self, before: tuple[Take, ...], now: tuple[Take, ...]) -> None:
        """Remember the pools from which a line takes otherwise than before."""
        then = {take.pool: take.stems for take in before}
        for take in now:
            stems = then.pop(take.pool, None)
            if stems is None or not np.array_equal(stems, take.stems):
                self._turn(take.pool)
        for pool in then:
            self._turn(pool)

    def _turn(self, pool: int) -> None:
        self._turned.add(pool)
        self._products_turned.add(self._supply.pools[pool].product)
