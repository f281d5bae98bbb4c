"""The whole match in one go by the compiled pass: the same answer as `serve.py` where every pool has tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import chain
from typing import Any

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.matching.kernel import serve
from haulm.matching.levels import MOST_IN_FEW_BYTES
from haulm.matching.pass_arrays import Asks, Block, Change, PlaceArray, TakeTable
from haulm.matching.result import MatchResult, Take
from haulm.matching.same_takes import find_known, gather, mark_same
from haulm.matching.supply import BoolArray, IntArray
from haulm.matching.tables import Tables
from haulm.matching.wishes import Wish, Wishes


@dataclass(frozen=True, eq=False)
class Earlier:
    """An earlier match of pools with the same names in the same places, cut on the same days.

    Attributes:
        result: the match.
        places: the place in it of each line that now stands, -1 for a new one; those there are rise.
        gone: places in it of the lines that stand no more, rising.
        changed: places of the pools that hold other stems now.
    """

    result: MatchResult
    places: Sequence[int]
    gone: Sequence[int] = ()
    changed: Set[int] = frozenset()


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
    found = wishes.in_order
    known = wishes.tables.of([(wish.window, wish.pools) for wish in found])
    if known is None:
        return None
    tables, entries = known
    asks = _asks(found, tables, entries)
    if earlier is not None and not _is_like(earlier.result.table, tables, asks):
        earlier = None
    before: tuple[tuple[Take, ...], ...] = ()
    places, table, change = _numbers([-1] * len(lines)), None, _no_change(found, tables, asks)
    if earlier is not None:
        before, places, table = earlier.result.takes, _numbers(earlier.places), earlier.result.table
        change = _change(found, tables, earlier, places, asks)
    blocks = _blocks(tables, asks, table)
    with ThreadPoolExecutor(len(blocks)) as side_by_side:
        list(side_by_side.map(partial(serve, tables.entries, asks, change), blocks))
    is_other: BoolArray = np.logical_or.reduce([block.is_other for block in blocks])
    same: BoolArray = np.zeros(len(lines), np.bool_)
    mark_same(asks, change, is_other, places, same)
    return _every_take(asks, change, _new_stems(change, is_other, blocks), places, before, same)


def _blocks(tables: Tables, asks: Asks, table: TakeTable | None) -> list[Block]:
    """Blocks of seasons to be filled in, with what lines took in them before, if they took anything."""
    few, steps, kind = _fit_few_bytes(asks.stems) and _fit_few_bytes(asks.most_each), asks.entry.size, _kind(asks)
    bases = tables.base if few else [base.astype(np.int32, copy=False) for base in tables.base]
    before = table.stems if table is not None else [np.zeros((0, base.shape[1]), kind) for base in bases]
    return [
        Block(base, then, np.empty((steps, base.shape[1]), kind), np.zeros(steps, np.bool_))
        for base, then in zip(bases, before, strict=True)
    ]


def _asks(found: Sequence[Wish], tables: Tables, entries: Sequence[tuple[int, ...]]) -> Asks:
    """What lines ask, one after the other; the entries of each in its pools."""
    first = np.cumsum([0, *(len(wish.pools) for wish in found)], dtype=np.int64)
    pools = _flat([wish.pools for wish in found])
    product = tables.product[pools]
    is_next = np.ones(pools.size, np.bool_)
    is_next[1:] = product[1:] != product[:-1]
    is_next[first[:-1][np.diff(first) > 0]] = True
    by_pool = np.argsort(pools, kind="stable").astype(np.int64)
    return Asks(
        first,
        _numbers([wish.line.stems for wish in found]),
        _numbers([-1 if wish.most_each is None else wish.most_each for wish in found]),
        _numbers([wish.line.minimum for wish in found]),
        _flat(entries),
        pools,
        is_next,
        by_pool,
        np.searchsorted(pools[by_pool], np.arange(tables.product.size + 1)).astype(np.int64),
    )


def _is_like(table: TakeTable, tables: Tables, asks: Asks) -> bool:
    """Whether an earlier table has as many seasons, and numbers of as many bytes, as are found now."""
    lanes = [stems.shape[1] for stems in table.stems]
    return lanes == [base.shape[1] for base in tables.base] and table.stems[0].dtype == _kind(asks)


def _kind(asks: Asks) -> type[np.signedinteger[Any]]:
    return np.int16 if _fit_few_bytes(asks.stems) else np.int32


def _no_change(found: Sequence[Wish], tables: Tables, asks: Asks) -> Change:
    """Every line is new."""
    nothing = np.zeros(0, np.int64)
    known_row = np.full(asks.entry.size, -1, np.int64)
    is_new, is_other = np.ones(len(found), np.bool_), np.zeros(tables.product.size, np.bool_)
    return Change(nothing, nothing, known_row, is_new, is_other, np.zeros(len(found) + 1, np.int64), nothing)


def _change(found: Sequence[Wish], tables: Tables, earlier: Earlier, places: PlaceArray, asks: Asks) -> Change:
    """What differs; places of the lines in the earlier match, shape (lines,)."""
    then = earlier.result.wishes.in_order
    is_new = [
        place < 0 or (wish is not then[place] and wish.pools != then[place].pools)
        for wish, place in zip(found, earlier.places, strict=True)
    ]
    is_other = np.zeros(tables.product.size, np.bool_)
    is_other[list(earlier.changed)] = True
    stayed = np.flatnonzero(places >= 0)
    gone = _numbers(earlier.gone)
    next_line = np.append(stayed, len(found))[np.searchsorted(places[stayed], gone)]
    gone_first = np.searchsorted(next_line, np.arange(len(found) + 1)).astype(np.int64)
    before = earlier.result.table
    known_row = np.empty(asks.entry.size, np.int64)
    find_known(asks, places, before, known_row)
    return Change(before.first, before.pool, known_row, np.array(is_new, np.bool_), is_other, gone_first, gone)


def _every_take(
    asks: Asks,
    change: Change,
    new: Mapping[int, IntArray],
    places: PlaceArray,
    before: Sequence[tuple[Take, ...]],
    same: BoolArray,
) -> tuple[tuple[Take, ...], ...]:
    """The takes of every line, new ones by step; what is as before is the very same; places, same: shape (lines,)."""
    known = [take for takes in before for take in takes]
    first, pools, known_row = _list(asks.first), _list(asks.pool), _list(change.known_row)
    takes: list[tuple[Take, ...]] = []
    for line, (place, is_same) in enumerate(zip(_list(places), same.tolist(), strict=True)):
        if is_same:
            takes.append(before[place])
            continue
        taken: list[Take] = []
        for step in range(first[line], first[line + 1]):
            stems = new.get(step)
            if stems is None and known_row[step] >= 0:
                taken.append(known[known_row[step]])
            elif stems is not None and (stems.size > 1 or stems[0]):
                taken.append(Take(pools[step], stems))
        takes.append(tuple(taken))
    return tuple(takes)


def _new_stems(change: Change, is_other: BoolArray, blocks: Sequence[Block]) -> dict[int, IntArray]:
    """What steps take that took something else before, each of shape (seasons,), or (1,) where all are alike.

    Args:
        change: what differs from before.
        is_other: whether a step takes otherwise in any block, shape (steps,).
        blocks: what steps take in each.
    """
    steps = np.flatnonzero(is_other).astype(np.int64)
    stems = np.empty((steps.size, sum(block.stems.shape[1] for block in blocks)), np.int32)
    begin = 0
    for block in blocks:
        part = stems[:, begin : begin + block.stems.shape[1]]
        gather(steps, change.known_row, block, part)
        begin += part.shape[1]
    maybe = np.flatnonzero(stems[:, 0] == stems[:, -1])
    even = {int(row) for row in maybe[(stems[maybe] == stems[maybe, :1]).all(axis=1)]}
    return {step: stems[row, :1] if row in even else stems[row] for row, step in enumerate(_list(steps))}


def _list(numbers: PlaceArray) -> list[int]:
    found: list[int] = numbers.tolist()
    return found


def _fit_few_bytes(stems: PlaceArray) -> bool:
    return bool(stems.max(initial=0) < MOST_IN_FEW_BYTES)


def _numbers(found: Sequence[int]) -> PlaceArray:
    return np.array(found, np.int64)


def _flat(parts: Iterable[Iterable[int]]) -> PlaceArray:
    return np.fromiter(chain.from_iterable(parts), np.int64)
