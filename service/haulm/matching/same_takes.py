"""Which takes of an earlier match belong to which step, and which lines take what they took before; for a compiler."""

from __future__ import annotations

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Block, Change, PlaceArray, TakeTable
from haulm.matching.supply import BoolArray, IntArray


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
    first = change.first
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


@compiled
def gather(steps: PlaceArray, known_row: PlaceArray, block: Block, stems: IntArray) -> None:
    """Gather what some steps take in a block of seasons.

    Args:
        steps: the steps, shape (steps asked,).
        known_row: the earlier take of each step, -1 where there is none, shape (steps,).
        block: what they took and take.
        stems: filled in, shape (steps asked, lanes).
    """
    for row in range(steps.size):
        step = steps[row]
        known = known_row[step]
        if block.is_other[step]:
            for lane in range(stems.shape[1]):
                stems[row, lane] = block.stems[step, lane]
        elif known >= 0:
            for lane in range(stems.shape[1]):
                stems[row, lane] = block.before[known, lane]
        else:
            stems[row] = 0
