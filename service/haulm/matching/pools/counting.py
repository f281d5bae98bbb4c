"""The exact count per pool: how many stems can still be given in a window while every earlier line keeps its own.

Windows that are intervals of groups, be it one inside another, are counted by F and G, all others by flow.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from haulm.matching.one_pass import row_calls
from haulm.matching.one_pass.arrays import flags
from haulm.matching.one_pass.flow_rows import FlowPool, ask_flow, give_flow
from haulm.matching.one_pass.running_sums import run_down
from haulm.matching.pools.grouping import PoolView
from haulm.matching.pools.intervals import interval_order
from haulm.matching.pools.layout import Layout, flow_layout, nested_layout
from haulm.matching.supply import IntArray, StemArray


class Engine(StrEnum):
    """The ways to count."""

    NESTED = "nested"
    FLOW = "flow"


class CannotCount(Exception):
    """The engine that a test insists on doesn't fit this pool."""


def counted(view: PoolView, engine: Engine | None = None) -> tuple[Layout, IntArray]:
    """How a pool is counted, and its table with nothing given.

    Args:
        view: the pool as its windows see it.
        engine: insist on one engine; None takes the quicker one that fits.

    Returns:
        The layout of its rows and its table, shape (rows of the table, seasons) or (rows of the table, 1) [stems].

    Raises:
        CannotCount: the engine insisted on doesn't fit.
    """
    order = None if engine is Engine.FLOW else interval_order(view.accept)
    if order is None:
        if engine is Engine.NESTED:
            raise CannotCount(engine)
        return flow_layout(view.accept), view.stems
    table = np.zeros((len(order.groups) + 1, view.stems.shape[1]), np.int32)
    table[1:] = view.stems[order.groups]
    run_down(np.add, table)
    return nested_layout(order), table


class Count:
    """What can still be given in each window of one pool, in every season."""

    def __init__(self, view: PoolView, given: IntArray | None = None, engine: Engine | None = None) -> None:
        """Start with stems given per window, feasible together, shape (windows, seasons) or (windows, 1), or none."""
        self._layout, table = counted(view, engine)
        self._width = max(view.stems.shape[1], 1 if given is None else given.shape[1])
        self._levels: IntArray = np.zeros((self._layout.source.size, self._width), np.int32)
        accept = self._layout.accept
        if accept is None:
            self._flow = None
            self._settle(table, given)
        else:
            self._flow = FlowPool(0, len(accept), accept.shape[1], flags(accept.ravel()), 0)
            self._levels[: accept.shape[1]] = table
            for window, stems in enumerate(() if given is None else given):
                self.give(window, stems)

    def most(self, window: int) -> IntArray:
        """Most stems that can still be given, shape (seasons,) or (1,)."""
        found: IntArray = self.left([window])[0]
        return found

    def left(self, windows: Sequence[int]) -> IntArray:
        """What each window could still be given, asked alone, shape (windows, seasons) or (windows, 1) [stems]."""
        if self._flow is not None:
            every = np.full((len(windows), self._width), np.iinfo(np.int32).max, np.int32)
            for row, window in zip(every, windows, strict=True):
                ask_flow(row, row.copy(), self._levels, self._flow, window)
            return every
        layers, first = self._layout.layers, self._layout.first[list(windows)]
        depth = self._layout.first[[window + 1 for window in windows]] - first
        found: IntArray = self._levels[layers[first, 0]] - self._levels[layers[first, 1]]
        for outer in range(1, int(depth.max(initial=0))):
            rows = np.flatnonzero(depth > outer)
            at = first[rows] + outer
            found[rows] = np.minimum(found[rows], self._levels[layers[at, 0]] - self._levels[layers[at, 1]])
        return found

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems, at most `most`, shape (seasons,) or (1,)."""
        if stems.size > self._width:
            self._levels, self._width = np.repeat(self._levels, stems.size, axis=1), stems.size
        if self._flow is not None:
            row = np.empty(self._width, np.int32)
            row[:] = stems
            give_flow(row, self._levels, self._flow, window)
        for held, freed, top, middle, bottom in self._layers(window):
            row_calls.hold_less(self._levels, top, held, middle, [stems], 0)
            row_calls.free_less(self._levels, freed, bottom, [stems], 0)

    def _layers(self, window: int) -> list[list[int]]:
        first, stop = self._layout.first[window : window + 2]
        found: list[list[int]] = self._layout.layers[first:stop].tolist()
        return found

    def _settle(self, table: StemArray, given: IntArray | None) -> None:
        """F and G once stems are given per window, all at once."""
        for window, stems in enumerate(() if given is None else given):
            for held, freed, _, _, bottom in self._layers(window):
                self._levels[held] += stems
                if freed + 1 < bottom:
                    self._levels[freed + 1] += stems
        for top, middle, bottom in self._layout.bands.tolist():
            row_calls.settle_held(self._levels, top, middle, table, self._layout.source)
            row_calls.settle_freed(self._levels, middle, bottom, table, self._layout.source)
