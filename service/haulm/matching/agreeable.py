"""The count where windows are agreeable: sorted by their first group they are also sorted by their last.

Every window has a start and an end of its own, in one order, so that one pair of levels (`levels.py`) counts them all.
Source: Hall's theorem; the reduction to intervals is proved in docs/engineer/match.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

import numpy as np

from haulm.matching.grouping import PoolView
from haulm.matching.intervals import IntervalOrder
from haulm.matching.levels import Layer, LevelArray, Levels, kind_for
from haulm.matching.running import run_down
from haulm.matching.supply import BoolArray, IndexArray, IntArray

ENOUGH = np.int32(2**30)
_MOST = 0.8
"""Where more of the seasons than this may be short, leaving out the others saves no time."""
_LOOK_FIRST = 500
_FEW_SEASONS = 50


class AgreeableCount:
    """F and G per window and season, kept up to date gift by gift."""

    def __init__(self, view: PoolView, order: IntervalOrder) -> None:
        """Start with nothing given."""
        total: LevelArray = np.zeros((len(order.groups) + 1, view.stems.shape[1]), np.int32)
        total[1:] = view.stems[order.groups]
        run_down(np.add, total)
        total = total.astype(kind_for(total[-1:]), copy=False)
        self._opened = total[order.last + 1]
        self._closed = total[order.first]
        self._windows = order.windows
        self._place: list[int] = np.argsort(order.windows).tolist()
        self._seasons = view.stems.shape[1]
        self._run_of: dict[int, tuple[_Run, int]] | None = None

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layer of all windows, with nothing given."""
        ends = {window: (row, row) for row, window in enumerate(self._windows.tolist())}
        return (Layer(Levels(self._opened, self._closed), ends, is_sorted=True),)

    def afresh(self) -> AgreeableCount:
        """The same with nothing given."""
        found = copy(self)
        found._seasons = self._opened.shape[1]
        found._run_of = None
        return found

    def narrow(self, wanted: list[int], given: IntArray | None = None) -> None:
        """Keep only runs of windows that may be short, and in each only the seasons in which it may.

        An interval of windows that leaves a run holds a window that is safe even when everybody gets what they want;
        it can't be violated, so it never binds. Once F and G are known, windows that are asked no more can go: all that
        is given from now on changes them along with the asked one before (F) or after (G) them.
        Stems given: shape (windows, seasons) or (windows, 1).
        """
        asked: IntArray = np.array(wanted, np.int32)[self._windows]
        levels = Levels(self._opened, self._closed)
        if given is not None:
            before = given[self._windows].astype(self._opened.dtype, copy=False)
            levels = levels.after(before, before)
        still = np.flatnonzero(asked)
        levels = levels.at(still)
        self._seasons = levels.held.shape[1]
        runs = _runs(levels, asked[still, None])
        windows = self._windows[still].tolist()
        self._run_of = {windows[run.first + row]: (run, row) for run in runs for row in range(len(run.levels.held))}

    def is_safe(self, window: int) -> bool:
        """Whether no ask of this window can fail in any season."""
        return window not in self._runs

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given in a window, shape (seasons,) or (1,); None where nothing can bind."""
        found = self._runs.get(window)
        if found is None:
            return None
        run, row = found
        most = run.levels.most(row, row)
        if run.columns is None:
            return most
        full = np.full(self._seasons, ENOUGH, np.int32)
        full[run.columns] = most
        return full

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems in a window, shape (seasons,) or (1,)."""
        found = self._runs.get(window)
        if found is not None:
            run, row = found
            run.levels.give(row, row, stems if run.columns is None or stems.size == 1 else stems[run.columns])

    @property
    def _runs(self) -> dict[int, tuple[_Run, int]]:
        """The run of each window that may be short, and its place there; one run of all where nothing was narrowed."""
        if self._run_of is None:
            whole = _Run(0, None, Levels(self._opened.copy(), self._closed.copy()))
            self._run_of = {window: (whole, row) for row, window in enumerate(self._windows.tolist())}
        return self._run_of

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


def _runs(levels: Levels, asked: IntArray) -> list[_Run]:
    """The runs of windows of which all that is asked, shape (windows, 1), might not be there in some season."""
    if _looks_scarce(levels, asked):
        return [_Run(0, None, levels)]
    full = levels.after(asked, asked)
    unsafe = full.held < full.freed
    risky = [bool(row.any()) for row in unsafe] + [False]
    found: list[_Run] = []
    first = 0
    for place, is_risky in enumerate(risky):
        if not is_risky:
            if place > first:
                found.append(_run(first, unsafe[first:place], levels))
            first = place + 1
    return found


def _looks_scarce(levels: Levels, asked: IntArray) -> bool:
    """Whether a few seasons show that hardly any window or season would be left out."""
    seasons = levels.held.shape[1]
    if seasons < _LOOK_FIRST:
        return False
    few = slice(None, None, seasons // _FEW_SEASONS)
    full = Levels(levels.held[:, few], levels.freed[:, few]).after(asked, asked)
    unsafe = full.held < full.freed
    return bool(unsafe.any(axis=1).all()) and bool(unsafe.any(axis=0).mean() > _MOST)


def _run(first: int, unsafe: BoolArray, levels: Levels) -> _Run:
    """A run from a window on, of which some seasons are unsafe, shape of unsafe (windows, seasons)."""
    risky = np.flatnonzero(unsafe.any(axis=0))
    columns = risky if risky.size <= _MOST * unsafe.shape[1] else None
    return _Run(first, columns, levels.part(slice(first, first + len(unsafe)), columns))
