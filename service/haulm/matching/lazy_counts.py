"""Counts that are made when a pool is first asked, for passes that serve only some of the lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Set

import numpy as np

from haulm.matching.blank_counts import BlankCounts
from haulm.matching.counting import Count
from haulm.matching.result import Take
from haulm.matching.serve import NO_STEMS, Ask, Before, same_stems
from haulm.matching.supply import IntArray, Supply
from haulm.matching.windows import Window
from haulm.matching.wishes import Wish


class WindowNumbers(dict[Window, int]):
    """The numbers of windows, given as they come; the same for all pools."""

    def __missing__(self, window: Window) -> int:
        """The next number."""
        self[window] = len(self)
        return self[window]


class NumberedCount:
    """An exact count of one pool whose windows go by their numbers."""

    def __init__(
        self,
        pool: int,
        blanks: BlankCounts,
        askers: Iterable[tuple[Wish, IntArray | None]],
        numbers: WindowNumbers,
    ) -> None:
        """Only the stems of those lines are given that were served before.

        Args:
            pool: the pool's place.
            blanks: the counts before anything is given.
            askers: the wishes of all lines that may take from it; for those that were served, with the stems that they
                took, shape (seasons,) or (1,), else with None.
            numbers: the numbers of windows.
        """
        wanted: dict[Window, int] = {}
        gifts: list[tuple[Window, IntArray]] = []
        for wish, stems in askers:
            wanted[wish.window] = wanted.get(wish.window, 0) + (most_asked(wish) if stems is None else 0)
            if stems is not None:
                gifts.append((wish.window, stems))
        blank = blanks.of(pool, wanted)
        self._count: Count = blank.afresh()
        self._place = {numbers[window]: blank.places[window] for window in wanted}
        most = [0] * blank.size
        for window, asked in wanted.items():
            most[blank.places[window]] += asked
        given = np.zeros((blank.size, max((taken.size for _, taken in gifts), default=1)), np.int32)
        for window, taken in gifts:
            given[blank.places[window]] += taken
        self._count.narrow(most, given)

    def most(self, window: int) -> IntArray | None:
        """As `Count.most`, stems of shape (seasons,) or (1,), by the window's number."""
        return self._count.most(self._place[window])

    def give(self, window: int, stems: IntArray) -> None:
        """As `Count.give`, stems of shape (seasons,) or (1,), by the window's number."""
        self._count.give(self._place[window], stems)


class MadeWhenAsked:
    """Counts by pool, each made when it is first asked for and kept with the others.

    Not by whoever makes them: counts are large, and what holds itself in a circle is let go late.
    """

    def __init__(self, kept: dict[int, NumberedCount], made: Callable[[int], NumberedCount]) -> None:
        """The counts there are, and how others are made."""
        self._kept = kept
        self._made = made

    def __getitem__(self, pool: int) -> NumberedCount:
        """The count of a pool."""
        found = self._kept.get(pool)
        if found is None:
            found = self._kept[pool] = self._made(pool)
        return found

    def get(self, pool: int, /) -> NumberedCount | None:
        """The count of a pool, where there is one."""
        return self._kept.get(pool)


def most_asked(wish: Wish) -> int:
    """The most stems a line takes of one pool."""
    return wish.line.stems if wish.most_each is None else min(wish.line.stems, wish.most_each)


def taken_of(pool: int, takes: Iterable[Take]) -> IntArray:
    """The stems of some takes that are of a pool, shape (seasons,) or (1,)."""
    return next((take.stems for take in takes if take.pool == pool), NO_STEMS)


def steps_of(wish: Wish, supply: Supply, numbers: WindowNumbers) -> list[Ask]:
    """The steps of a line, its window by its number."""
    number = numbers[wish.window]
    return [Ask(pool, number, supply.pools[pool].product, most_asked(wish)) for pool in wish.pools]


def before_of(wish: Wish, then: tuple[int, ...], takes: Iterable[Take], turned: Set[int]) -> Before | None:
    """What a line took before, where it may take that again.

    Not where there is a minimum: what a line would have taken, had it been worth sending, is not known any more.

    Args:
        wish: what it may take now.
        then: the pools it might take from before, in order.
        takes: what it took.
        turned: pools that are others, or of which an earlier line takes otherwise now.
    """
    if wish.line.minimum > 0:
        return None
    return Before(then, {take.pool: take for take in takes}, turned)


def turned_pools(before: Iterable[Take], now: Iterable[Take]) -> Iterator[int]:
    """The pools from which a line takes otherwise than before."""
    then = {take.pool: take for take in before}
    for take in now:
        known = then.pop(take.pool, None)
        if known is not take and (known is None or not same_stems(known.stems, take.stems)):
            yield take.pool
    yield from then
