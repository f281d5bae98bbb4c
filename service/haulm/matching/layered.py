"""The count where windows are intervals, some inside others: one pair of levels for each layer of windows.

A window lies in the layer below every window that begins before it and ends after it. Levels of a layer count what is
given in it and in the layers inside it; what can still be given in a window is the least of what its layer and those
around it say. Source: Hall's theorem; that layers are enough is proved in docs/engineer/match.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

import numpy as np

from haulm.matching.agreeable import ENOUGH
from haulm.matching.grouping import PoolView
from haulm.matching.intervals import IntervalOrder
from haulm.matching.levels import Layer, Levels
from haulm.matching.running import run_down
from haulm.matching.supply import BoolArray, IndexArray, IntArray


class LayeredCount:
    """Levels of every layer, kept up to date gift by gift."""

    def __init__(self, view: PoolView, order: IntervalOrder) -> None:
        """Nothing is given."""
        self._total = np.zeros((len(order.groups) + 1, view.stems.shape[1]), np.int32)
        self._total[1:] = view.stems[order.groups]
        run_down(np.add, self._total)
        self._seasons = view.stems.shape[1]
        back = np.argsort(order.windows)
        self._first: IndexArray = order.first[back]
        self._last: IndexArray = order.last[back]
        self._columns: IndexArray | None = None
        self._layers = self._all_layers()

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layers with nothing given, outermost first; a window is counted by those that know its ends."""
        return self._all_layers().plain()

    def afresh(self) -> LayeredCount:
        """The same with nothing given."""
        found = copy(self)
        found._seasons = self._total.shape[1]
        found._columns = None
        found._layers = found._all_layers()
        return found

    def narrow(self, wanted: list[int], given: IntArray | None = None) -> None:
        """Keep only windows that may be short, and only the seasons in which one may.

        An interval that holds a window that is safe even when everybody gets what they want is never violated.
        Stems given: shape (windows, seasons) or (windows, 1).
        """
        asked: IntArray = np.array(wanted, np.int32)[:, None]
        unsafe = self.left(asked if given is None else asked + given, range(len(wanted))) < 0
        self._seasons = unsafe.shape[1]
        columns = np.flatnonzero(unsafe.any(axis=0))
        self._columns = columns if columns.size <= 0.8 * self._seasons else None
        total = self._total if self._columns is None or self._total.shape[1] == 1 else self._total[:, self._columns]
        self._layers = _Layers(self._first, self._last, np.flatnonzero(unsafe.any(axis=1)), total)
        if given is not None:
            self._layers.give_all(self._in_columns(given))
        self._layers.pack()

    def is_safe(self, window: int) -> bool:
        """Whether no ask of this window can fail in any season."""
        return window not in self._layers.around

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given in a window, shape (seasons,) or (1,); None where nothing can bind."""
        if self.is_safe(window):
            return None
        found = self._layers.most(window)
        if self._columns is None:
            return found
        full = np.full(self._seasons, ENOUGH, np.int32)
        full[self._columns] = found
        return full

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems in a window, shape (seasons,) or (1,)."""
        if not self.is_safe(window):
            self._layers.give(window, self._in_columns(stems))

    def left(self, given: IntArray, windows: Sequence[int]) -> IntArray:
        """Stems each window could still be given after gifts (windows, seasons), shape (asked windows, seasons)."""
        full = self._all_layers()
        full.give_all(given)
        found = np.empty((len(windows), max(self._seasons, given.shape[1])), np.int32)
        for row, window in enumerate(windows):
            found[row] = full.most(window)
        return found

    def _all_layers(self) -> _Layers:
        return _Layers(self._first, self._last, np.arange(len(self._first)), self._total)

    def _in_columns(self, stems: IntArray) -> IntArray:
        """Stems in the seasons that matter, the last axis being that of seasons."""
        return stems if self._columns is None or stems.shape[-1] == 1 else stems[..., self._columns]


class _Layers:
    """All layers of some windows.

    Attributes:
        around: per window, its own layer and those around it.
    """

    def __init__(self, first: IndexArray, last: IndexArray, windows: IndexArray, total: IntArray) -> None:
        """Nothing is given; `total` are the stems before each group, shape (groups + 1, seasons)."""
        self._layers: list[_Layer] = []
        self.around: dict[int, list[_Layer]] = {}
        while windows.size:
            self._layers.append(_Layer(first[windows], last[windows], windows, total))
            outer = _outermost(first[windows], last[windows])
            self.around.update((window, list(self._layers)) for window in windows[outer].tolist())
            windows = windows[~outer]

    def most(self, window: int) -> IntArray:
        own = self.around[window]
        found = own[0].most(window)
        for layer in own[1:]:
            np.minimum(found, layer.most(window), out=found)
        return found

    def give(self, window: int, stems: IntArray) -> None:
        for layer in self.around[window]:
            layer.give(window, stems)

    def give_all(self, given: IntArray) -> None:
        """Give stems at once, before any are given one by one, shape (windows, seasons) or (windows, 1)."""
        for layer in self._layers:
            layer.give_all(given)

    def plain(self) -> tuple[Layer, ...]:
        """The layers as they are now."""
        return tuple(layer.plain() for layer in self._layers)

    def pack(self) -> None:
        """Keep the levels in as few bytes as they need."""
        for layer in self._layers:
            layer.pack()


class _Layer:
    """Levels of some windows, each from its own start to its own end."""

    def __init__(self, first: IndexArray, last: IndexArray, windows: IndexArray, total: IntArray) -> None:
        starts, start = np.unique(first, return_inverse=True)
        ends, end = np.unique(last, return_inverse=True)
        self._ends = dict(zip(windows.tolist(), zip(start.tolist(), end.tolist(), strict=True), strict=True))
        self._levels = Levels(total[ends + 1], total[starts])

    def most(self, window: int) -> IntArray:
        return self._levels.most(*self._ends[window])

    def give(self, window: int, stems: IntArray) -> None:
        start, end = self._ends[window]
        self._levels.give(start, end, stems)

    def give_all(self, given: IntArray) -> None:
        by_end = np.zeros((len(self._levels.held), given.shape[1]), np.int32)
        by_start = np.zeros((len(self._levels.freed), given.shape[1]), np.int32)
        for window, (start, end) in self._ends.items():
            by_end[end] += given[window]
            by_start[start] += given[window]
        self._levels = self._levels.after(by_end, by_start)

    def plain(self) -> Layer:
        return Layer(self._levels, self._ends, is_sorted=False)

    def pack(self) -> None:
        self._levels = self._levels.part(slice(None), None)


def _outermost(first: IndexArray, last: IndexArray) -> BoolArray:
    """Which windows no other one begins before and ends after, shape (windows,)."""
    around = (first[:, None] < first) & (last[:, None] > last)
    return np.asarray(~around.any(axis=0))
