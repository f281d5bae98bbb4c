"""Which takes of an earlier match belong to which step, and which lines take what they took before; for a compiler."""

from __future__ import annotations

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Found, PlaceArray, TakeTable
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
def mark_same(asks: Asks, found: Found, before: PlaceArray, known: TakeTable, same: BoolArray) -> None:
    """Mark the lines that take the stems that they took before, in the same order.

    Args:
        asks: the lines.
        found: what they take.
        before: the position of each line in the earlier table, -1 for a new one, shape (lines,).
        known: the earlier table.
        same: filled in, booleans, shape (lines,).
    """
    for line in range(before.size):
        same[line] = before[line] >= 0
        if before[line] >= 0:
            take = known.first[before[line]]
            for step in range(asks.first[line], asks.first[line + 1]):
                if found.row[step] >= 0 or (found.known_row[step] >= 0 and found.known_row[step] != take):
                    same[line] = False
                    break
                if found.known_row[step] >= 0:
                    take += 1
            if take != known.first[before[line] + 1]:
                same[line] = False
