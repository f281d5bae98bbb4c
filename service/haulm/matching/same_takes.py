"""Which takes of an earlier match belong to which step, and which lines take what they took before; for a compiler."""

from __future__ import annotations

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Change, PlaceArray, TakeTable
from haulm.matching.supply import BoolArray


@compiled
def find_known(asks: Asks, places: PlaceArray, before: TakeTable, known_row: PlaceArray) -> None:
    """Find the earlier take of each step.

    Args:
        asks: the lines.
        places: the position of each line in the earlier table, -1 for a new one, shape (lines,).
        before: the earlier table.
        known_row: positions, filled in, -1 where there is none, shape (steps,).
    """
    for line in range(places.size):
        for step in range(asks.first[line], asks.first[line + 1]):
            known_row[step] = -1
            if places[line] >= 0:
                for take in range(before.first[places[line]], before.first[places[line] + 1]):
                    if before.pool[take] == asks.pool[step]:
                        known_row[step] = take


@compiled
def mark_same(asks: Asks, change: Change, is_other: BoolArray, places: PlaceArray, same: BoolArray) -> None:
    """Mark the lines that take the stems that they took before, in the same order.

    Args:
        asks: the lines.
        change: what differs from before.
        is_other: whether a step takes otherwise than before, shape (steps,).
        places: the position of each line in the earlier table, -1 for a new one, shape (lines,).
        same: filled in, booleans, shape (lines,).
    """
    first = change.before.first
    for line in range(places.size):
        same[line] = places[line] >= 0
        if places[line] >= 0:
            take = first[places[line]]
            for step in range(asks.first[line], asks.first[line + 1]):
                known = change.known_row[step]
                if is_other[step] or (known >= 0 and known != take):
                    same[line] = False
                    break
                if known >= 0:
                    take += 1
            if take != first[places[line] + 1]:
                same[line] = False
