"""The count where windows are no intervals: one slack per set of groups that windows can close over.

What is given can be served iff, for every union of windows that hang together, the windows inside it were given no more
than its stems (Hall's theorem; a union that falls apart splits into conditions of its own). What can still be given in
a window is the least slack of the unions around it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from haulm.matching.grouping import PoolView
from haulm.matching.supply import BoolArray, IndexArray, IntArray

MOST_SETS = 12_000
"""More unions than this are not listed; the network takes over."""

ENOUGH = np.int32(2**30)
_CHUNK = 256


class ListedUnions:
    """Unions one by one; float64 products are exact for whole numbers below 2**53."""

    def __init__(self, view: PoolView, sets: BoolArray) -> None:
        """Take the unions from `closed_sets`, shape (unions, groups)."""
        sets = sets[_by_reach(sets)]
        self.inside: BoolArray = (view.accept.astype(np.float64) @ (~sets).T.astype(np.float64)) == 0
        self._sets = sets
        self._stems = view.stems.astype(np.float64)

    def stems(self, first: int, stop: int) -> IntArray:
        """Stems in some of the unions, shape (unions, seasons) or (unions, 1)."""
        return np.asarray((self._sets[first:stop].astype(np.float64) @ self._stems).astype(np.int32))


def _by_reach(sets: BoolArray) -> IndexArray:
    """Unions by first, then last group: those around a window then lie in few runs."""
    if not sets.size:
        return np.arange(len(sets))
    return np.lexsort((sets.shape[1] - sets[:, ::-1].argmax(axis=1), sets.argmax(axis=1)))


def closed_sets(accept: BoolArray, limit: int = MOST_SETS) -> BoolArray | None:
    """All connected unions of windows.

    Args:
        accept: which groups each window accepts, booleans, shape (windows, groups).
        limit: give up beyond this many.

    Returns:
        Booleans, shape (unions, groups), or None where there are more than the limit.
    """
    masks = [int.from_bytes(np.packbits(row, bitorder="little").tobytes(), "little") for row in accept]
    known = dict.fromkeys(masks)
    queue = list(known)
    for union in queue:
        for mask in masks:
            if mask & union and mask | union not in known:
                known[mask | union] = None
                queue.append(mask | union)
        if len(queue) > limit:
            return None
    size = (accept.shape[1] + 7) // 8
    raw = np.frombuffer(b"".join(union.to_bytes(size, "little") for union in queue), np.uint8)
    bits = np.unpackbits(raw.reshape(len(queue), size), axis=1, bitorder="little", count=accept.shape[1])
    return bits.astype(np.bool_)


class UnionCount:
    """Slack per union and season, kept up to date gift by gift."""

    def __init__(self, view: PoolView, unions: ListedUnions) -> None:
        """Nothing is given."""
        self._unions = unions
        self._seasons = view.stems.shape[1]
        self._given: IntArray | None = None
        self._slack: IntArray | None = None
        self._rows: list[list[tuple[int, int]]] = []
        self._columns: IndexArray | None = None

    def narrow(self, wanted: list[int], given: IntArray | None = None) -> None:
        """Keep only unions that may run short, and only the seasons in which one may: see `Count.narrow`.

        Stems wanted: shape (windows,); given: shape (windows, seasons) or (windows, 1).
        """
        self._given = given
        if given is not None:
            self._seasons = max(self._seasons, given.shape[1])
        inside = self._unions.inside
        asked = (np.array(wanted, np.int64) @ inside.astype(np.int64)).astype(np.int32)
        kept: list[IndexArray] = []
        short = np.zeros(self._seasons, np.bool_)
        for first, stop, stems in self._chunks(self._given):
            rows = np.flatnonzero(stems.min(axis=1) < asked[first:stop])
            lacking = stems if rows.size == len(stems) else stems[rows]
            if short.sum() <= 0.8 * self._seasons:
                short |= (lacking < asked[first + rows, None]).any(axis=0)
            kept.append(first + rows)
        rows = np.concatenate([*kept, np.zeros(0, np.intp)])
        columns = np.flatnonzero(short)
        self._columns = columns if columns.size <= 0.8 * self._seasons else None
        self._hold(inside[:, rows], self._slack_of(rows))

    def _slack_of(self, rows: IndexArray) -> IntArray:
        """Stems in some of the unions, in the seasons that matter; laid out once, since unions may be many."""
        columns = slice(None) if self._columns is None else self._columns
        width = self._seasons if self._columns is None else self._columns.size
        slack = np.empty((rows.size, width), np.int32)
        for first, stop, stems in self._chunks(self._given):
            start, end = np.searchsorted(rows, (first, stop))
            slack[start:end] = stems[rows[start:end] - first][:, columns]
        return slack

    def is_safe(self, window: int) -> bool:
        """Whether no ask of this window can fail in any season."""
        return self._slack is not None and not self._rows[window]

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given in a window, shape (seasons,) or (1,); None where nothing can bind."""
        slack = self._all()
        rows = self._rows[window]
        if not rows:
            return None
        found: IntArray = slack[rows[0][0] : rows[0][1]].min(axis=0)
        for start, stop in rows[1:]:
            np.minimum(found, slack[start:stop].min(axis=0), out=found)
        if self._columns is None:
            return found
        full = np.full(self._seasons, ENOUGH, np.int32)
        full[self._columns] = found
        return full

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems in a window, shape (seasons,) or (1,)."""
        slack = self._all()
        if not self._rows[window]:
            return
        if self._columns is not None and stems.size > 1:
            stems = stems[self._columns]
        if stems.size > slack.shape[1]:
            self._slack = slack = np.repeat(slack, stems.size, axis=1)
        for start, stop in self._rows[window]:
            slack[start:stop] -= stems

    def left(self, given: IntArray, windows: Sequence[int]) -> IntArray:
        """Stems each window could still be given after gifts (windows, seasons), shape (asked windows, seasons)."""
        width = max(self._seasons, given.shape[1])
        found = np.full((len(windows), width), ENOUGH, np.int32)
        around = self._unions.inside[list(windows)]
        for first, stop, slack in self._chunks(given):
            for row, members in enumerate(around[:, first:stop]):
                if members.any():
                    np.minimum(found[row], slack[members].min(axis=0), out=found[row])
        return found

    def _chunks(self, given: IntArray | None) -> Iterator[tuple[int, int, IntArray]]:
        """The slack of all unions after gifts, some at a time; float64 products are exact for such whole numbers."""
        total = self._unions.inside.shape[1]
        for first in range(0, total, _CHUNK):
            stop = min(first + _CHUNK, total)
            stems = self._unions.stems(first, stop)
            if given is not None:
                inside = self._unions.inside[:, first:stop].T.astype(np.float64)
                stems = stems - (inside @ given.astype(np.float64)).astype(np.int32)
            yield first, stop, stems

    def _all(self) -> IntArray:
        """The slack that is kept; of all unions where nothing was narrowed."""
        if self._slack is None:
            parts = [stems for _, _, stems in self._chunks(self._given)]
            self._hold(self._unions.inside, np.concatenate([*parts, np.zeros((0, self._seasons), np.int32)]))
        assert self._slack is not None, "held just now"
        return self._slack

    def _hold(self, inside: BoolArray, slack: IntArray) -> None:
        self._rows = [_runs(row) for row in inside]
        self._slack = slack


def _runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Start and stop of each run of true places; runs are worked on in place, which picked rows are not."""
    edges = np.flatnonzero(np.diff(mask, prepend=False, append=False)).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))
