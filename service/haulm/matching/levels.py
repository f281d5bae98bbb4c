"""F and G of intervals: how many stems a window can still be given, kept up to date gift by gift.

A(y): stems in the groups up to an end y. B(x): stems before a start x. E(y): stems given in windows that end at y or
before. D(x): stems given in windows that start before x. What can still be given from start a to end b is F(b) - G(a),
F(b) = min over y >= b of A(y) - E(y), G(a) = max over x <= a of B(x) - D(x). Source: docs/engineer/match.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from haulm.matching.running import run_down
from haulm.matching.supply import IndexArray, IntArray

LevelArray = npt.NDArray[np.signedinteger[Any]]
"""Levels lie between nought and the stems of the pool: half the bytes where these are few, which halves the time."""

MOST_IN_FEW_BYTES = 2**15
"""Fewer stems than this fit into two bytes."""


class Levels:
    """F per end and G per start, in every season."""

    def __init__(self, held: LevelArray, freed: LevelArray) -> None:
        """Nothing is given yet.

        Args:
            held: A, rising, shape (ends, seasons) [stems].
            freed: B, rising, shape (starts, seasons) [stems].
        """
        self.held = held
        self.freed = freed

    def part(self, rows: slice, columns: IndexArray | None) -> Levels:
        """A copy to give stems from: neighbouring starts and ends, in some seasons, shape (columns,), or all (None)."""
        held, freed = self.held[rows], self.freed[rows]
        if columns is not None:
            held, freed = held[:, columns], freed[:, columns]
        kind = kind_for(held)
        return Levels(held.astype(kind), freed.astype(kind))

    def most(self, start: int, end: int) -> IntArray:
        """Stems that can still be given from a start to an end, shape (seasons,)."""
        return np.asarray(np.subtract(self.held[end], self.freed[start], dtype=np.int32))

    def give(self, start: int, end: int, stems: IntArray) -> None:
        """Give stems from a start to an end, at most `most`, shape (seasons,) or (1,); in place."""
        if stems.size > self.held.shape[1]:
            self.held = np.repeat(self.held, stems.size, axis=1)
            self.freed = np.repeat(self.freed, stems.size, axis=1)
        held, freed = self.held, self.freed
        gone = stems.astype(held.dtype)
        before, later = held[:end], freed[start + 1 :]
        held[end:] -= gone
        np.minimum(before, held[end], out=before)
        later -= gone
        np.maximum(later, freed[start], out=later)

    def at(self, rows: IndexArray) -> Levels:
        """A copy to give stems from: those of some rows, shape (rows,)."""
        return Levels(self.held[rows], self.freed[rows])

    def after(self, by_end: LevelArray, by_start: LevelArray) -> Levels:
        """The levels once more stems are given, everywhere at once; these levels stay as they are.

        Args:
            by_end: stems given in windows of each end, shape (ends, seasons) or (ends, 1); their sum fits the type.
            by_start: the same stems by the windows' starts, shape (starts, seasons) or (starts, 1).
        """
        gone = by_end.copy()
        run_down(np.add, gone)
        held = self.held - gone
        run_down(np.minimum, held[::-1])
        gone = np.zeros_like(by_start)
        gone[1:] = by_start[:-1]
        run_down(np.add, gone)
        freed = self.freed - gone
        run_down(np.maximum, freed)
        return Levels(held, freed)


def kind_for(levels: LevelArray) -> type[np.signedinteger[Any]]:
    """The smallest type that holds levels of stems, shape (rows, seasons), and all that can be given of them."""
    return np.int16 if levels.max(initial=0) < MOST_IN_FEW_BYTES else np.int32


@dataclass(frozen=True, eq=False)
class Layer:
    """Levels that count some windows of a pool.

    Attributes:
        levels: with nothing given.
        ends: the start and the end of each window.
        is_sorted: whether every window has a start and an end of its own, both in one order.
    """

    levels: Levels
    ends: Mapping[int, tuple[int, int]]
    is_sorted: bool
