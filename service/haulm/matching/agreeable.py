"""The count where windows are agreeable: sorted by their first group they are also sorted by their last.

Every window has a start and an end of its own, in one order, so that one pair of levels (`levels.py`) counts them all.
Source: Hall's theorem; the reduction to intervals is proved in docs/engineer/match.md.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from haulm.matching.grouping import PoolView
from haulm.matching.intervals import IntervalOrder
from haulm.matching.levels import LevelArray, Levels, kind_for
from haulm.matching.supply import BoolArray, IndexArray, IntArray

ENOUGH = np.int32(2**30)


class AgreeableCount:
    """F and G per window and season, kept up to date gift by gift."""

    def __init__(self, view: PoolView, order: IntervalOrder) -> None:
        """Start with nothing given."""
        total: LevelArray = np.zeros((len(order.groups) + 1, view.stems.shape[1]), np.int32)
        np.cumsum(view.stems[order.groups], axis=0, dtype=np.int32, out=total[1:])
        total = total.astype(kind_for(total[-1:]), copy=False)
        self._opened = total[order.last + 1]
        self._closed = total[order.first]
        self._windows = order.windows
        self._place: list[int] = np.argsort(order.windows).tolist()
        self._seasons = view.stems.shape[1]
        whole = _Run(0, None, Levels(self._opened.copy(), self._closed.copy()))
        self._run_of: list[_Run | None] = [whole] * len(self._place)

    def narrow(self, wanted: list[int], given: IntArray | None = None) -> None:
        """Keep only runs of windows that may be short, and in each only the seasons in which it may.

        An interval of windows that leaves a run holds a window that is safe even when everybody gets what they want;
        it can't be violated, so it never binds. Stems given: shape (windows, seasons) or (windows, 1).
        """
        levels = Levels(self._opened, self._closed)
        if given is not None:
            before = given[self._windows].astype(self._opened.dtype, copy=False)
            levels = levels.after(before, before)
        asked: IntArray = np.array(wanted, np.int32)[self._windows, None]
        full = levels.after(asked, asked)
        unsafe = full.held < full.freed
        self._seasons = unsafe.shape[1]
        risky = [bool(row.any()) for row in unsafe]
        self._run_of = [None] * len(risky)
        first = 0
        while first < len(risky):
            stop = first
            while stop < len(risky) and risky[stop]:
                stop += 1
            if stop > first:
                self._run_of[first:stop] = [_run(first, unsafe[first:stop], levels)] * (stop - first)
            first = stop + 1

    def is_safe(self, window: int) -> bool:
        """Whether no ask of this window can fail in any season."""
        return self._run_of[self._place[window]] is None

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given in a window, shape (seasons,) or (1,); None where nothing can bind."""
        place = self._place[window]
        run = self._run_of[place]
        if run is None:
            return None
        found = run.levels.most(place - run.first, place - run.first)
        if run.columns is None:
            return found
        full = np.full(self._seasons, ENOUGH, np.int32)
        full[run.columns] = found
        return full

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems in a window, shape (seasons,) or (1,)."""
        place = self._place[window]
        run = self._run_of[place]
        if run is not None:
            part = stems if run.columns is None or stems.size == 1 else stems[run.columns]
            run.levels.give(place - run.first, place - run.first, part)

    def left(self, given: IntArray, windows: Sequence[int]) -> IntArray:
        """Stems each window could still be given after gifts (windows, seasons), shape (asked windows, seasons)."""
        asked = given[self._windows]
        full = Levels(self._opened, self._closed).after(asked, asked)
        places = [self._place[window] for window in windows]
        return np.subtract(full.held[places], full.freed[places], dtype=np.int32)


class _Run:
    """Neighbouring windows, in some or all (`columns` None) of the seasons."""

    def __init__(self, first: int, columns: IndexArray | None, levels: Levels) -> None:
        self.first = first
        self.columns = columns
        self.levels = levels


def _run(first: int, unsafe: BoolArray, levels: Levels) -> _Run:
    """A run from a window on, of which some seasons are unsafe, shape of unsafe (windows, seasons)."""
    risky = np.flatnonzero(unsafe.any(axis=0))
    columns = risky if risky.size <= 0.8 * unsafe.shape[1] else None
    return _Run(first, columns, levels.part(slice(first, first + len(unsafe)), columns))
