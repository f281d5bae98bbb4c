"""A pool as its windows see it: windows that accept the same lots are one, lots accepted by the same windows are one.

This is what makes the exact counts cheap: a year of days becomes a few groups before any season is looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from haulm.matching.supply import BoolArray, IntArray, Pool


@dataclass(frozen=True, eq=False)
class PoolView:
    """One pool, compressed.

    Attributes:
        place: for each window asked, its place among the distinct windows; -1 where it accepts no lot.
        accept: which groups a distinct window accepts, shape (windows, groups); no empty row or column.
        stems: shape (groups, seasons) or (groups, 1) [stems].
    """

    place: tuple[int, ...]
    accept: BoolArray
    stems: IntArray


def pool_view(pool: Pool, masks: Sequence[BoolArray]) -> PoolView:
    """Compress a pool for the windows asked of it.

    Args:
        pool: the pool.
        masks: accepted lots of each window asked, each shape (lots,), in order of due date for the best result.

    Returns:
        The view; groups are numbered by their first lot in ready order.
    """
    known: dict[bytes, int] = {}
    rows: list[BoolArray] = []
    place: list[int] = []
    for mask in masks:
        key = mask.tobytes()
        if key not in known:
            known[key] = len(rows) if mask.any() else -1
            if known[key] >= 0:
                rows.append(mask)
        place.append(known[key])
    lots = pool.days.ready.size
    distinct = np.array(rows, np.bool_).reshape(len(rows), lots)
    group_of_lot, examples = _groups(distinct, pool.days.ready)
    return PoolView(tuple(place), distinct[:, examples], _sums(pool, group_of_lot, len(examples)))


def _groups(masks: BoolArray, ready: IntArray) -> tuple[list[int], list[int]]:
    """Group of each lot (-1: accepted by no window), and one lot of each group."""
    packed = np.ascontiguousarray(np.packbits(masks, axis=0).T)
    step, raw = packed.shape[1], packed.tobytes()
    group_of_lot = [-1] * ready.size
    known = {bytes(step): -1}
    examples: list[int] = []
    for lot in np.argsort(ready, kind="stable").tolist():
        key = raw[lot * step : (lot + 1) * step]
        group = known.get(key)
        if group is None:
            group = known[key] = len(examples)
            examples.append(lot)
        group_of_lot[lot] = group
    return group_of_lot, examples


def _sums(pool: Pool, group_of_lot: list[int], groups: int) -> IntArray:
    """Stems per group; runs of lots of one group are added up without copying them."""
    stems = np.zeros((groups, pool.width), np.int32)
    offset = 0
    for block in pool.blocks:
        size = len(block.lots)
        start = 0
        while start < size:
            group = group_of_lot[offset + start]
            stop = start + 1
            while stop < size and group_of_lot[offset + stop] == group:
                stop += 1
            if group >= 0:
                stems[group] += block.stems[start:stop].sum(axis=0, dtype=np.int32)
            start = stop
        offset += size
    return stems
