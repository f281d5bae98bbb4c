"""More stems tried out: what some lines would get of them, without matching everything again.

Exact, and equal to a full match: a line's takes rest on its pools and on what earlier lines took of them. So a line is
served again only where a pool it may take from holds other stems, or where an earlier line now takes otherwise from
it; lines after the last one watched are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from haulm.farm.products import Choice, Product
from haulm.matching.counting import Count, exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import Ask, Giving, serve_line
from haulm.matching.supply import Block, IntArray, Pool, Supply
from haulm.matching.windows import Window, window_of
from haulm.matching.wishes import Wish, Wishes, chosen

PoolName = tuple[Product, int]
"""Product and length class [cm]."""

_NONE = np.zeros(1, np.int32)


class Tryout:
    """A match on which more stems can be tried out again and again."""

    def __init__(self, result: MatchResult, watched: Iterable[int]) -> None:
        """The lines watched are named by their places in the strict order; one at least."""
        self.result = result
        self.watched = tuple(watched)
        self.last = max(self.watched)
        self._looked_at: set[Product] = set()
        self._numbers: dict[Window, int] = {}
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

    def number_of(self, window: Window) -> int:
        """The number of a window; windows are numbered as they come."""
        return self._numbers.setdefault(window, len(self._numbers))

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
        self._counts: _Counts[_Numbered] = _Counts(self._count)
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
        number = self._tryout.number_of(wish.window)
        steps = [Ask(pool, number, self._supply.pools[pool].product, _most_asked(wish)) for pool in wish.pools]
        counts: _Counts[Giving] = _Counts(self._counts.__getitem__)
        counts.update(self._as_before(place, wish))
        found = serve_line(wish, steps, counts)
        self._note(self._takes[place], found)
        self._takes[place] = found

    def _as_before(self, place: int, wish: Wish) -> Iterator[tuple[int, Giving]]:
        """The first pools of a line as long as nothing has turned in them; it takes there what it took before.

        Not where there is a minimum: what a line would have taken, had it been worth sending, is not known any more.
        """
        if wish.line.minimum > 0:
            return
        before = self._tryout.result.wishes.of(wish.line).pools
        stems = {take.pool: take.stems for take in self._takes[place]}
        for pool, then in zip(wish.pools, before, strict=False):
            if pool != then or pool in self._turned:
                return
            yield pool, _AsBefore(stems.get(pool, _NONE), self._counts.get(pool))

    def _book(self, place: int) -> None:
        """Tell the counts what a line takes as before."""
        for take in self._takes[place]:
            count = self._counts.get(take.pool)
            if count is not None:
                count.give(self._tryout.number_of(window_of(self._tryout.result.lines[place])), take.stems)

    def _count(self, pool: int) -> _Numbered:
        """The count of a pool as the lines before this one leave it."""
        naming = self._tryout.naming.get(self._supply.pools[pool].product, [])
        wishes = {place: wish for place in naming if pool in (wish := self._wish(place)).pools}
        count = _Numbered(self._supply.pools[pool], pool, self._tryout, self._wishes, wishes.values())
        for place, wish in wishes.items():
            if place < self._now:
                for take in self._takes[place]:
                    if take.pool == pool:
                        count.give(self._tryout.number_of(wish.window), take.stems)
        return count

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


class _Numbered:
    """An exact count whose windows go by the numbers that the tryout gave them."""

    def __init__(self, pool: Pool, place: int, tryout: Tryout, wishes: Wishes, askers: Iterable[Wish]) -> None:
        wanted: dict[Window, int] = {}
        for wish in askers:
            wanted[wish.window] = wanted.get(wish.window, 0) + _most_asked(wish)
        windows = sorted(wanted, key=lambda window: window.due)
        view = pool_view(pool, [wishes.acceptance.mask(place, window) for window in windows])
        self._count: Count = exact_count(view)
        self._place = {tryout.number_of(window): where for window, where in zip(windows, view.place, strict=True)}
        most = [0] * len(view.accept)
        for window in windows:
            most[self._place[tryout.number_of(window)]] += wanted[window]
        self._count.narrow(most)

    def most(self, window: int) -> IntArray | None:
        return self._count.most(self._place[window])

    def give(self, window: int, stems: IntArray) -> None:
        self._count.give(self._place[window], stems)


@dataclass(frozen=True, eq=False)
class _AsBefore:
    """A pool from which the line being served takes what it took before."""

    stems: IntArray
    count: _Numbered | None

    def most(self, window: int) -> IntArray:
        """What it took before."""
        return self.stems

    def give(self, window: int, stems: IntArray) -> None:
        """Told to the count, where there is one already."""
        if self.count is not None:
            self.count.give(window, stems)


G = TypeVar("G")


class _Counts(dict[int, G]):
    """Counts by pool, each made when it is first asked for."""

    def __init__(self, made: Callable[[int], G]) -> None:
        super().__init__()
        self._made = made

    def __missing__(self, pool: int) -> G:
        self[pool] = self._made(pool)
        return self[pool]


def _most_asked(wish: Wish) -> int:
    return wish.line.stems if wish.most_each is None else min(wish.line.stems, wish.most_each)


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
