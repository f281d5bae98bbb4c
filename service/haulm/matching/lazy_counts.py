"""Counts that are made when a pool is first asked, for passes that serve only some of the lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from haulm.matching.counting import Count, exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import Take
from haulm.matching.serve import Ask
from haulm.matching.supply import BoolArray, IntArray, Pool, Supply
from haulm.matching.windows import Window
from haulm.matching.wishes import Wish

T = TypeVar("T")

NO_STEMS = np.zeros(1, np.int32)


class WindowNumbers(dict[Window, int]):
    """The numbers of windows, given as they come; the same for all pools."""

    def __missing__(self, window: Window) -> int:
        """The next number."""
        self[window] = len(self)
        return self[window]


class NumberedCount:
    """An exact count of one pool whose windows go by their numbers."""

    def __init__(
        self, pool: Pool, accepts: Callable[[Window], BoolArray], askers: Iterable[Wish], numbers: WindowNumbers
    ) -> None:
        """Nothing is given.

        Args:
            pool: the pool.
            accepts: which lots of it serve a window, shape (lots,).
            askers: the wishes of all lines that may take from it.
            numbers: the numbers of windows.
        """
        wanted: dict[Window, int] = {}
        for wish in askers:
            wanted[wish.window] = wanted.get(wish.window, 0) + most_asked(wish)
        windows = sorted(wanted, key=lambda window: window.due)
        view = pool_view(pool, [accepts(window) for window in windows])
        self._count: Count = exact_count(view)
        self._place = {numbers[window]: where for window, where in zip(windows, view.place, strict=True)}
        self._windows = len(view.accept)
        most = [0] * self._windows
        for window in windows:
            most[self._place[numbers[window]]] += wanted[window]
        self._count.narrow(most)

    def most(self, window: int) -> IntArray | None:
        """As `Count.most`, stems of shape (seasons,) or (1,), by the window's number."""
        return self._count.most(self._place[window])

    def give(self, window: int, stems: IntArray) -> None:
        """As `Count.give`, stems of shape (seasons,) or (1,), by the window's number."""
        self._count.give(self._place[window], stems)

    def give_all(self, gifts: Iterable[tuple[int, IntArray]]) -> None:
        """Give many at once, before any is given by itself: numbers of windows with stems, shape (seasons,) or (1,)."""
        booked = list(gifts)
        if not booked:
            return
        given = np.zeros((self._windows, max(stems.size for _, stems in booked)), np.int32)
        for window, stems in booked:
            given[self._place[window]] += stems
        self._count.give_all(given)


@dataclass(frozen=True, eq=False)
class AsBefore:
    """A pool from which the line being served takes what it took before."""

    stems: IntArray
    count: NumberedCount | None

    def most(self, window: int) -> IntArray:
        """What it took before, stems of shape (seasons,) or (1,)."""
        return self.stems

    def give(self, window: int, stems: IntArray) -> None:
        """Told to the count, where there is one already; stems of shape (seasons,) or (1,)."""
        if self.count is not None:
            self.count.give(window, stems)


class MadeWhenAsked(dict[int, T]):
    """Values by pool, each made when it is first asked for."""

    def __init__(self, made: Callable[[int], T]) -> None:
        """Nothing is made yet."""
        super().__init__()
        self._made = made

    def __missing__(self, pool: int) -> T:
        """The value of a pool."""
        self[pool] = self._made(pool)
        return self[pool]


def most_asked(wish: Wish) -> int:
    """The most stems a line takes of one pool."""
    return wish.line.stems if wish.most_each is None else min(wish.line.stems, wish.most_each)


def steps_of(wish: Wish, supply: Supply, numbers: WindowNumbers) -> list[Ask]:
    """The steps of a line, its window by its number."""
    number = numbers[wish.window]
    return [Ask(pool, number, supply.pools[pool].product, most_asked(wish)) for pool in wish.pools]


def as_before(
    wish: Wish, then: tuple[int, ...], takes: Iterable[Take], turned: Set[int], counts: Mapping[int, NumberedCount]
) -> Iterator[tuple[int, AsBefore]]:
    """The first pools of a line as long as nothing has turned in them; it takes there what it took before.

    Not where there is a minimum: what a line would have taken, had it been worth sending, is not known any more.

    Args:
        wish: what it may take now.
        then: the pools it might take from before, in order.
        takes: what it took.
        turned: pools that are others, or of which an earlier line takes otherwise now.
        counts: the counts that there are.
    """
    if wish.line.minimum > 0:
        return
    stems = {take.pool: take.stems for take in takes}
    for pool, before in zip(wish.pools, then, strict=False):
        if pool != before or pool in turned:
            return
        yield pool, AsBefore(stems.get(pool, NO_STEMS), counts.get(pool))


def turned_pools(before: Iterable[Take], now: Iterable[Take]) -> Iterator[int]:
    """The pools from which a line takes otherwise than before."""
    then = {take.pool: take.stems for take in before}
    for take in now:
        stems = then.pop(take.pool, None)
        if stems is None or not np.array_equal(stems, take.stems):
            yield take.pool
    yield from then
