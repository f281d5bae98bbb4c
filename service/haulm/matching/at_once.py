"""The whole match in one go by the compiled pass: the same answer as `serve.py` where every pool has tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.matching.kernel import Asks, Found, PlaceArray, StemArray, mark_same, serve
from haulm.matching.levels import MOST_IN_FEW_BYTES
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import compact
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
    taken = _served(tables, asks)
    same = np.zeros(len(lines), np.bool_)
    if earlier is not None and earlier.result.table.stems.shape[1] == taken.stems.shape[1]:
        mark_same(asks, pools, taken, np.array(earlier.places, np.int64), earlier.result.table, same)
    before = () if earlier is None else earlier.result.takes
    places = () if earlier is None else earlier.places
    return tuple(
        before[places[line]] if is_same else _takes(line, asks, pools, taken)
        for line, is_same in enumerate(same.tolist())
    )


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


def _served(tables: Tables, asks: Asks) -> Found:
    """What all steps take."""
    base: StemArray = tables.base
    if asks.stems.max(initial=0) >= MOST_IN_FEW_BYTES or asks.most_each.max(initial=0) >= MOST_IN_FEW_BYTES:
        base = base.astype(np.int32, copy=False)
    seasons, steps = base.shape[1], asks.entry.size
    found = Found(np.empty((steps, seasons), base.dtype), np.full(steps, -1, np.int64), np.zeros(1, np.int64))
    serve(base, tables.entries, asks, found, min(_LANES, -(-seasons // 8) * 8))
    return found


def _takes(line: int, asks: Asks, pools: PlaceArray, found: Found) -> tuple[Take, ...]:
    steps = range(asks.first[line], asks.first[line + 1])
    return tuple(
        Take(int(pools[step]), compact(found.stems[found.row[step]].astype(np.int32)))
        for step in steps
        if found.row[step] >= 0
    )
