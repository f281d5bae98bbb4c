"""What lines take, line after line, and the same as one table for the pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from haulm.kept import Kept
from haulm.matching.one_pass.arrays import PlaceArray, Rows, StemKind
from haulm.matching.one_pass.compiler import IS_COMPILED
from haulm.matching.supply import StemArray

_MOST_POOLS = 2**20
"""More pools than there are: with it a line and a pool are one number."""


@dataclass(frozen=True, eq=False, slots=True)
class Allocation:
    """Stems that a line takes from a pool.

    Attributes:
        pool: the pool's place in `Supply.pools`.
        stems: shape (seasons,), or (1,) where every season gives the same [stems]; of two bytes where all stems of the
            farm are few enough for that, so add them up in something wider.
    """

    pool: int
    stems: StemArray


Allocations = tuple[Allocation, ...]
"""What a line takes."""


@dataclass(frozen=True, eq=False)
class AllocationTable:
    """The takes of some lines, one below the other."""

    takes: Sequence[Allocations]
    _made: Kept[tuple[tuple[int, ...], StemKind], Sequence[Rows]] = field(default_factory=lambda: Kept(1))

    @cached_property
    def flat(self) -> list[Allocation]:
        """All of them."""
        return [take for own in self.takes for take in own]

    def rows(self, places: PlaceArray, pools: PlaceArray) -> PlaceArray:
        """The row number of what some lines take of some pools, -1 where they take nothing of it.

        Args:
            places: lines, -1 for one that is not among these, shape (steps,).
            pools: a pool of each, shape (steps,).
        """
        keys, order = self._keys
        if not keys.size:
            return np.full(places.size, -1, np.int64)
        asked = places * _MOST_POOLS + pools
        found = np.minimum(np.searchsorted(keys, asked), keys.size - 1)
        return np.where(keys[found] == asked, order[found], -1)

    def blocks(self, blocks: Sequence[slice], kind: StemKind) -> Sequence[Rows]:
        """All stems per block of seasons; without a compiler the takes' own rows serve, where there is one block."""
        return self._made.of((tuple(block.stop for block in blocks), kind), lambda: self._rows_of(blocks, kind))

    def _rows_of(self, blocks: Sequence[slice], kind: StemKind) -> Sequence[Rows]:
        is_one = len(blocks) == 1 and not IS_COMPILED
        return [self._own_rows(kind)] if is_one else [*self._cut(blocks, kind)]

    def _cut(self, blocks: Sequence[slice], kind: StemKind) -> tuple[StemArray, ...]:
        found = tuple(np.empty((len(self.flat), block.stop - block.start), kind) for block in blocks)
        for row, take in enumerate(self.flat):
            for lanes, block in zip(found, blocks, strict=True):
                lanes[row] = take.stems if take.stems.size == 1 else take.stems[block]
        return found

    def _own_rows(self, kind: StemKind) -> list[StemArray]:
        return [take.stems if take.stems.dtype == kind else take.stems.astype(kind) for take in self.flat]

    @cached_property
    def _keys(self) -> tuple[PlaceArray, PlaceArray]:
        """A number for the line and the pool of each take, rising, and which take it is of."""
        lines = np.repeat(np.arange(len(self.takes)), [len(own) for own in self.takes])
        keys = lines.astype(np.int64) * _MOST_POOLS + np.array([take.pool for take in self.flat], np.int64)
        order = np.argsort(keys, kind="stable").astype(np.int64)
        return keys[order], order
