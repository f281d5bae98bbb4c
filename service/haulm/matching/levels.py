"""F and G of intervals: how many stems a window can still be given, kept up to date gift by gift.

With A(y) the stems in groups up to an end y, B(x) those before a start x, E(y) the stems given in windows that end at y
or before, D(x) those given in windows that start before x: what can still be given from start a to end b is F(b) - G(a),
F(b) = min over y >= b of A(y) - E(y), G(a) = max over x <= a of B(x) - D(x). Source: docs/engineer/match.md.
"""

from __future__ import annotations

import numpy as np

from haulm.matching.supply import IntArray


class Levels:
    """F per end and G per start, in every season."""

    def __init__(self, held: IntArray, freed: IntArray) -> None:
        """Nothing is given yet.

        Args:
            held: A, rising, shape (ends, seasons) [stems]; worked on in place.
            freed: B, rising, shape (starts, seasons) [stems]; worked on in place.
        """
        self.held = held
        self.freed = freed

    def most(self, start: int, end: int) -> IntArray:
        """Stems that can still be given from a start to an end, shape (seasons,)."""
        return np.asarray(self.held[end] - self.freed[start])

    def give(self, start: int, end: int, stems: IntArray) -> None:
        """Give stems from a start to an end, at most `most`, shape (seasons,) or (1,)."""
        if stems.size > self.held.shape[1]:
            self.held = np.repeat(self.held, stems.size, axis=1)
            self.freed = np.repeat(self.freed, stems.size, axis=1)
        held, freed = self.held, self.freed
        before, later = held[:end], freed[start + 1 :]
        held[end:] -= stems
        np.minimum(before, held[end], out=before)
        later -= stems
        np.maximum(later, freed[start], out=later)

    def after(self, by_end: IntArray, by_start: IntArray) -> Levels:
        """The levels once stems are given everywhere at once, where nothing was given before.

        Args:
            by_end: stems given in windows of each end, shape (ends, seasons) or (ends, 1).
            by_start: the same stems by the windows' starts, shape (starts, seasons) or (starts, 1).
        """
        held = self.held - np.cumsum(by_end, axis=0, dtype=np.int32)
        gone = np.zeros_like(by_start)
        np.cumsum(by_start[:-1], axis=0, dtype=np.int32, out=gone[1:])
        freed = self.freed - gone
        np.minimum.accumulate(held[::-1], axis=0, out=held[::-1])
        np.maximum.accumulate(freed, axis=0, out=freed)
        return Levels(held, freed)
