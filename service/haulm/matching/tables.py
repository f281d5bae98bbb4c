"""Pools as tables of numbers for the compiled pass: rows of F and G, and where each window finds its own.

Not every pool has such tables: windows that are no intervals are counted otherwise, and then all lines are served by
`serve.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from haulm.matching.blank_counts import Blank, BlankCounts
from haulm.matching.kernel import Entries, PlaceArray, StemArray
from haulm.matching.levels import Layer, kind_for
from haulm.matching.supply import BoolArray, Supply
from haulm.matching.windows import Window

Ask = tuple[Window, tuple[int, ...]]
"""A window and the pools of which stems are asked there, one after the other."""


class Steps(NamedTuple):
    """What a line asks, one after the other; each of shape (steps,).

    Attributes:
        entry: the windows.
        is_next: whether each is of another product than the last.
        pool: the pools.
    """

    entry: PlaceArray
    is_next: BoolArray
    pool: PlaceArray


class Tables:
    """The tables of some pools.

    Attributes:
        base: F and G of every layer with nothing given, shape (rows, seasons) or (rows, 1).
        entries: the windows of all pools.
    """

    def __init__(self, blanks: Mapping[int, Blank], layers: Mapping[int, Sequence[Layer]]) -> None:
        """Take the blank counts of pools, and their layers."""
        rows = _Rows()
        self._blanks = dict(blanks)
        self._first = {pool: rows.add(layers[pool], blank.size) for pool, blank in blanks.items()}
        self._steps: dict[Ask, Steps] = {}
        self.base = rows.base()
        self.entries = rows.entries()

    def know(self, ask: Ask) -> bool:
        """Whether the window of an ask is among these in all its pools."""
        window, pools = ask
        return ask in self._steps or all(pool in self._blanks and window in self._blanks[pool].places for pool in pools)

    def steps(self, ask: Ask, supply: Supply) -> Steps:
        """The steps of an ask whose window is among these."""
        found = self._steps.get(ask)
        if found is None:
            window, pools = ask
            entry = [self._first[pool] + self._blanks[pool].places[window] for pool in pools]
            products = [None, *(supply.pools[pool].product for pool in pools)]
            is_next = [before != now for before, now in pairwise(products)]
            found = Steps(np.array(entry, np.int64), np.array(is_next, np.bool_), np.array(pools, np.int64))
            self._steps[ask] = found
        return found


class KnownTables:
    """The tables of a supply, made anew where a window is asked that they do not know."""

    def __init__(self, blanks: BlankCounts) -> None:
        """Nothing is made until asked."""
        self._blanks = blanks
        self._known: Tables | None = None

    def of(self, asks: Iterable[Ask]) -> Tables | None:
        """Tables that know all these asks; None where a pool of them has none."""
        kinds = dict.fromkeys(asks)
        found = self._known
        if found is None or not all(map(found.know, kinds)):
            found = self._known = self._made(kinds)
        return found

    def _made(self, asks: Iterable[Ask]) -> Tables | None:
        asked: dict[int, dict[Window, None]] = {}
        for window, pools in asks:
            for pool in pools:
                asked.setdefault(pool, {})[window] = None
        blanks = {pool: self._blanks.of(pool, windows) for pool, windows in asked.items()}
        layers = {pool: blank.layers for pool, blank in blanks.items()}
        known = {pool: found for pool, found in layers.items() if found is not None}
        return Tables(blanks, known) if len(known) == len(blanks) else None


class _Rows:
    """Rows and windows as they are put one below the other."""

    def __init__(self) -> None:
        self._parts: list[StemArray] = []
        self._rows = 0
        self._first = [0]
        self._is_local: list[bool] = []
        self._ends: list[tuple[int, int, int, int, int]] = []

    def add(self, layers: Sequence[Layer], windows: int) -> int:
        """Add the windows of a pool; returns the place of the first."""
        begin = len(self._is_local)
        placed = [(layer, self._put(layer.levels.held), self._put(layer.levels.freed)) for layer in layers]
        for window in range(windows):
            for layer, held, freed in placed:
                if window in layer.ends:
                    start, end = layer.ends[window]
                    stops = (held + len(layer.levels.held), freed + len(layer.levels.freed))
                    self._ends.append((held + end, freed + start, held, *stops))
            self._first.append(len(self._ends))
            self._is_local.append(layers[0].is_sorted)
        return begin

    def _put(self, levels: StemArray) -> int:
        begin = self._rows
        self._parts.append(levels)
        self._rows += len(levels)
        return begin

    def base(self) -> StemArray:
        """All rows, in the smallest type that holds them, shape (rows, seasons) or (rows, 1)."""
        width = max((part.shape[1] for part in self._parts), default=1)
        kind = np.int32 if any(kind_for(part) is np.int32 for part in self._parts) else np.int16
        found = np.empty((self._rows, width), kind)
        begin = 0
        for part in self._parts:
            found[begin : begin + len(part)] = part
            begin += len(part)
        return found

    def entries(self) -> Entries:
        """All windows."""
        ends = np.array(self._ends, np.int64).reshape(len(self._ends), 5)
        columns = (np.ascontiguousarray(ends[:, column]) for column in range(5))
        return Entries(np.array(self._first, np.int64), np.array(self._is_local, np.bool_), *columns)
