"""Which pools and lines hang together: no change of one can reach another that does not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from haulm.matching.supply import BoolArray, IndexArray


class Links:
    """Pools that a line may take from hang together, and so do lines that may take from one pool."""

    def __init__(self, asked: Sequence[tuple[int, ...]], pools: int) -> None:
        """Take the pools of each line, and how many pools there are."""
        self._next = list(range(pools))
        for together in set(asked):
            for pool in together[1:]:
                self._next[self._last(pool)] = self._last(together[0])
        self._of_line: IndexArray = np.array([self._last(own[0]) if own else -1 for own in asked], np.intp)

    def reached(self, touched: Iterable[int]) -> BoolArray:
        """Booleans, shape (lines,): whether each line hangs together with some pools; those unknown with none."""
        own = {self._last(pool) for pool in touched if pool < len(self._next)}
        return np.isin(self._of_line, list(own))

    def _last(self, pool: int) -> int:
        """The pool that stands for all that hang together with one."""
        while self._next[pool] != pool:
            pool = self._next[pool]
        return pool
