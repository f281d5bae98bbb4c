"""What lines take: lines and windows put into numbers, the pass over them, and what it found put into takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import chain

import numpy as np

from haulm.matching.allocation.allocations import Allocation, Allocations, AllocationTable
from haulm.matching.allocation.candidates import AllCandidates, Candidates
from haulm.matching.one_pass.arrays import (
    Asks,
    Dirty,
    Pass,
    PlaceArray,
    Rows,
    SeasonBlock,
    StemKind,
    Workspace,
    flags,
    kind_for,
    numbers,
)
from haulm.matching.one_pass.down_the_order import serve
from haulm.matching.pools.tables import Tables
from haulm.matching.supply import BoolArray, StemArray


@dataclass(frozen=True, eq=False)
class Earlier:
    """What lines took in an earlier match of pools in the same places.

    Attributes:
        table: the takes of all its lines.
        places: the place there of each line that is served, -1 for a new one, shape (lines,).
        is_new: whether a line is new, or may take of other pools than then; same shape.
        turns_at: the first line for which a pool is another than then; pools that are the same are left out.
    """

    table: AllocationTable
    places: PlaceArray
    is_new: BoolArray
    dirty_from: Mapping[int, int]


def allocate(found: Sequence[Candidates], candidates: AllCandidates, then: Earlier | None = None) -> list[Allocations]:
    """What lines take, one after the other.

    Args:
        found: the candidates of the lines to serve, in the strict order; those that share no pool may be missing.
        candidates: where they are from.
        then: lines that take as they did there have the very same takes.

    Raises:
        CannotCount: a way to count was insisted on that doesn't fit.
    """
    if then is None:
        every = np.full(len(found), -1, np.int64)
        then = Earlier(AllocationTable(()), every, np.ones(len(found), np.bool_), {})
    counts = np.fromiter((len(candidate.pools) for candidate in found), np.int64, len(found))
    pools = np.fromiter(chain.from_iterable(candidate.pools for candidate in found), np.int64)
    tables, entry = candidates.tables.of([candidate.window for candidate in found], counts, pools)
    known_row = then.table.rows(np.repeat(then.places, counts), pools)
    dirty_from = np.full(len(candidates.supply.pools), len(found), np.int64)
    for pool, line in then.dirty_from.items():
        dirty_from[pool] = line
    change = Dirty(numbers(known_row), flags(then.is_new), numbers(dirty_from))
    asks = _asks(found, counts, pools, entry, candidates.supply.product_numbers)
    kind = _kind(tables, found)
    befores = then.table.blocks(candidates.tables.blocks, kind)
    passes = [_pass(tables, asks, change, kind, before, part) for part, before in enumerate(befores)]
    _serve_side_by_side(passes)
    return _takes(passes, then, known_row)


def _asks(
    found: Sequence[Candidates], counts: PlaceArray, pools: PlaceArray, entry: PlaceArray, product_numbers: PlaceArray
) -> Asks:
    """Lines in numbers: the pools of each, so many as counted, shape (lines,), and their entries, shape (steps,)."""
    first = np.append(0, np.cumsum(counts))
    product = product_numbers[pools]
    is_next = np.ones(pools.size, np.bool_)
    is_next[1:] = product[1:] != product[:-1]
    is_next[first[:-1][counts > 0]] = True
    by_pool = np.argsort(pools, kind="stable")
    lines = np.repeat(np.arange(len(found)), counts)
    pool_first = np.searchsorted(pools[by_pool], np.arange(product_numbers.size + 1))
    return Asks(
        numbers(first),
        numbers([candidate.line.stems for candidate in found]),
        numbers([-1 if candidate.most_each is None else candidate.most_each for candidate in found]),
        numbers([candidate.line.minimum for candidate in found]),
        numbers(entry),
        numbers(pools),
        flags(is_next),
        numbers(by_pool),
        numbers(lines[by_pool]),
        numbers(pool_first),
    )


def _kind(tables: Tables, found: Sequence[Candidates]) -> StemKind:
    """The smallest type that holds all stems that there are and all that is asked."""
    most = max((max(candidate.line.stems, candidate.most_each or 0) for candidate in found), default=0)
    return kind_for(most) if tables.base[0].dtype == np.int16 else np.int32


def _pass(tables: Tables, asks: Asks, change: Dirty, kind: StemKind, before: Rows, part: int) -> Pass:
    """All that a pass over a block of seasons needs."""
    base, more = tables.base[part].astype(kind, copy=False), tables.more[part].astype(kind, copy=False)
    lanes = base.shape[1]
    out = np.empty((len(asks.pool), lanes), kind)
    levels = np.empty((tables.entries.source.size, lanes), kind)
    want, room, limit = (np.empty(lanes, kind) for _ in range(3))
    dirty_from = np.array(change.dirty_from, np.int64)
    live = flags(np.zeros(dirty_from.size, np.bool_))
    is_visited = flags(np.array(change.is_new, np.bool_))
    block = SeasonBlock(base, more, before, out, flags(np.zeros(len(asks.pool), np.bool_)))
    return Pass(
        tables.entries, asks, change, block, Workspace(levels, want, room, limit, numbers(dirty_from), live, is_visited)
    )


def _serve_side_by_side(passes: Sequence[Pass]) -> None:
    """Serve all blocks, each on a thread of its own."""
    if len(passes) == 1:
        serve(passes[0])
        return
    with ThreadPoolExecutor(len(passes)) as side_by_side:
        list(side_by_side.map(serve, passes))


def _takes(passes: Sequence[Pass], then: Earlier, known_row: PlaceArray) -> list[Allocations]:
    """The takes of every line; what is as before is the very same."""
    asks = passes[0].asks
    is_other: BoolArray = np.logical_or.reduce([np.array(one.block.is_other, np.bool_) for one in passes])
    steps = np.flatnonzero(is_other)
    new = _new_takes(passes, steps, known_row[steps])
    takes: list[Allocations] = [then.table.takes[place] if place >= 0 else () for place in then.places.tolist()]
    first, known = asks.first, known_row.tolist()
    others = np.searchsorted(np.array(first), steps, side="right") - 1
    lines: list[int] = np.union1d(others, np.flatnonzero(then.is_new)).tolist()
    for line in lines:
        own = tuple(_own(range(first[line], first[line + 1]), new, known, then.table.flat))
        before = takes[line]
        if len(own) != len(before) or any(one is not other for one, other in zip(own, before, strict=True)):
            takes[line] = own
    return takes


def _own(
    steps: range, new: Mapping[int, Allocation | None], known: Sequence[int], flat: Sequence[Allocation]
) -> Iterator[Allocation]:
    """What the steps of a line take: something new, or by the place there what they took before."""
    for step in steps:
        take = new[step] if step in new else flat[known[step]] if known[step] >= 0 else None
        if take is not None:
            yield take


def _new_takes(passes: Sequence[Pass], steps: PlaceArray, known: PlaceArray) -> dict[int, Allocation | None]:
    """What steps take that took something else before; each owns its stems, None where there are none.

    Args:
        passes: the passes.
        steps: the steps, shape (steps,).
        known: the earlier take of each, -1 where there is none; same shape.
    """
    pools = np.array(passes[0].asks.pool, np.int64)[steps].tolist()
    stems = np.concatenate([_rows(one.block, steps, known) for one in passes], axis=1)
    is_even = stems[:, 0] == stems[:, -1]
    is_even[is_even] = (stems[is_even] == stems[is_even, :1]).all(axis=1)
    is_none = is_even & (stems[:, 0] == 0)
    takes = (
        None if none else Allocation(pool, row[:1].copy() if even else row.copy())
        for pool, row, even, none in zip(pools, stems, is_even.tolist(), is_none.tolist(), strict=True)
    )
    return dict(zip(steps.tolist(), takes, strict=True))


def _rows(block: SeasonBlock, steps: PlaceArray, known: PlaceArray) -> StemArray:
    """What steps take in a block, shape (steps, lanes), of earlier takes -1 for none, shape (steps,)."""
    stems: StemArray = block.out[steps]
    is_same = ~np.array(block.is_other, np.bool_)[steps]
    stems[is_same & (known < 0)] = 0
    for row in np.flatnonzero(is_same & (known >= 0)).tolist():
        stems[row] = block.before[known[row]]
    return stems
