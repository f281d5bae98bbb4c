"""The whole match in one go by the compiled pass: the same answer as `serve.py` where every pool has tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.matching.kernel import Asks, Found, PlaceArray, StemArray, TakeTable, find_known, mark_same, serve
from haulm.matching.levels import MOST_IN_FEW_BYTES
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import compact
from haulm.matching.supply import BoolArray
from haulm.matching.tables import Tables
from haulm.matching.wishes import Wish, Wishes

_LANES = 1024
"""Seasons at a time: enough to keep the loops busy, few enough to stay near the processor."""


@dataclass(frozen=True, eq=False)
class Earlier:
    """An earlier match of the same pools.

    Attributes:
        result: the match.
        places: the place in it of each line that now stands, -1 for a new one.
    """

    result: MatchResult
    places: Sequence[int]


def served_at_once(
    lines: Sequence[DatedLine], wishes: Wishes, earlier: Earlier | None = None
) -> tuple[tuple[Take, ...], ...] | None:
    """What lines take, one after the other.

    Args:
        lines: the lines to serve, in the strict order.
        wishes: what each may take, of which supply.
        earlier: lines that take as they did there have the very same takes.

    Returns:
        Per line, its takes; None where a pool has no tables.
    """
    found = [wishes.of(line) for line in lines]
    tables = wishes.tables.of((wish.window, wish.pools) for wish in found)
    if tables is None:
        return None
    pools = _flat(wish.pools for wish in found)
    asks = _asks(found, tables, pools)
    before = _Before(earlier, asks, tables.base.shape[1])
    taken = before.found(asks, pools)
    _serve(tables, asks, taken)
    same: BoolArray = np.zeros(len(lines), np.bool_)
    mark_same(asks, taken, before.places, before.table, same)
    return tuple(
        before.takes[before.places[line]] if is_same else _takes(line, asks, pools, taken, before)
        for line, is_same in enumerate(_flags(same))
    )


def _flags(same: BoolArray) -> list[bool]:
    found: list[bool] = same.tolist()
    return found


class _Before:
    """What lines took in an earlier match; nothing where there is none that can be compared."""

    def __init__(self, earlier: Earlier | None, asks: Asks, seasons: int) -> None:
        """Take what lines ask now, and the number of seasons that differ."""
        kind = np.int16 if _fit_few_bytes(asks.stems) else np.int32
        self.takes: tuple[tuple[Take, ...], ...] = ()
        self.places: PlaceArray = np.full(asks.stems.size, -1, np.int64)
        self.table = TakeTable(np.zeros(1, np.int64), np.zeros(0, np.int64), np.zeros((0, seasons), kind))
        if earlier is not None:
            table = earlier.result.table
            if table.stems.shape[1] == seasons and table.stems.dtype == kind:
                self.takes, self.table = earlier.result.takes, table
                self.places = np.array(earlier.places, np.int64)

    def found(self, asks: Asks, pools: PlaceArray) -> Found:
        """What is to be filled in, with the earlier take of each step; pools: shape (steps,)."""
        seasons, steps = self.table.stems.shape[1], asks.entry.size
        known_row = np.full(steps, -1, np.int64)
        find_known(asks, pools, self.places, self.table, known_row)
        stems = np.empty((steps, seasons), self.table.stems.dtype)
        return Found(stems, np.full(steps, -1, np.int64), np.zeros(1, np.int64), self.table.stems, known_row)

    def take(self, line: int, known_row: int) -> Take:
        """An earlier take of a line by its place in the table."""
        place = int(self.places[line])
        return self.takes[place][known_row - int(self.table.first[place])]


def _asks(found: Sequence[Wish], tables: Tables, pools: PlaceArray) -> Asks:
    """What lines ask, one after the other; the pools of all steps, shape (steps,), are those of the wishes."""
    first = np.cumsum([0, *(len(wish.pools) for wish in found)], dtype=np.int64)
    product = tables.product[pools]
    is_next = np.ones(pools.size, np.bool_)
    is_next[1:] = product[1:] != product[:-1]
    is_next[first[:-1][np.diff(first) > 0]] = True
    return Asks(
        first,
        _numbers(wish.line.stems for wish in found),
        _numbers(-1 if wish.most_each is None else wish.most_each for wish in found),
        _numbers(wish.line.minimum for wish in found),
        _flat(tables.places((wish.window, wish.pools)) for wish in found),
        is_next,
    )


def _numbers(found: Iterable[int]) -> PlaceArray:
    return np.fromiter(found, np.int64)


def _flat(parts: Iterable[Iterable[int]]) -> PlaceArray:
    return _numbers(chain.from_iterable(parts))


def _serve(tables: Tables, asks: Asks, found: Found) -> None:
    """Find what all steps take."""
    few = _fit_few_bytes(asks.stems) and _fit_few_bytes(asks.most_each)
    base: StemArray = tables.base if few else tables.base.astype(np.int32, copy=False)
    serve(base, tables.entries, asks, found, min(_LANES, -(-base.shape[1] // 8) * 8))


def _fit_few_bytes(stems: PlaceArray) -> bool:
    return bool(stems.max(initial=0) < MOST_IN_FEW_BYTES)


def _takes(line: int, asks: Asks, pools: PlaceArray, found: Found, before: _Before) -> tuple[Take, ...]:
    """The takes of a line, those that are as before the very same."""
    takes: list[Take] = []
    for step in range(asks.first[line], asks.first[line + 1]):
        if found.row[step] >= 0:
            stems = compact(found.stems[found.row[step]].astype(np.int32))
            if stems.size > 1 or stems[0]:
                takes.append(Take(int(pools[step]), stems))
        elif found.known_row[step] >= 0:
            takes.append(before.take(line, int(found.known_row[step])))
    return tuple(takes)
