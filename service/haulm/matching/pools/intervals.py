"""An order of a pool's groups in which every window is an interval, where there is one.

The search is a heuristic (sort one side by the ends of the other, a few times); what it returns is checked, so a miss
costs time, never the right answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulm.matching.supply import BoolArray, IndexArray

_ATTEMPTS = 4


@dataclass(frozen=True, eq=False)
class IntervalOrder:
    """Windows and groups in an order in which windows are intervals.

    Attributes:
        windows: the windows sorted by first and last group, shape (windows,).
        groups: the groups in order, shape (groups,).
        first, last: first and last group of each window in that order, as places in `groups`, shape (windows,).
        agreeable: whether the last groups rise with the first ones.
    """

    windows: IndexArray
    groups: IndexArray
    first: IndexArray
    last: IndexArray
    agreeable: bool


def interval_order(accept: BoolArray) -> IntervalOrder | None:
    """An order in which windows are intervals, agreeable if one was found.

    Args:
        accept: which groups each window accepts, booleans, shape (windows, groups), no empty row or column.
    """
    found: IntervalOrder | None = None
    groups: IndexArray = np.array(range(accept.shape[1]), np.intp)
    for _ in range(_ATTEMPTS):
        windows = _by_ends(accept[:, groups])
        table: BoolArray = accept[windows][:, groups]
        first, last = _ends(table)
        lengths: IndexArray = last - first + 1
        if bool((table.sum(axis=1) == lengths).all()):
            agreeable = bool((np.diff(last) >= 0).all())
            order = IntervalOrder(windows, groups, first, last, agreeable)
            if agreeable:
                return order
            found = found or order
        groups = _by_ends(np.transpose(accept[windows]))
    return found


def _ends(table: BoolArray) -> tuple[IndexArray, IndexArray]:
    """First and last true place of each row."""
    if table.size == 0:
        nothing = np.zeros(table.shape[0], np.intp)
        return nothing, nothing
    return table.argmax(axis=1), table.shape[1] - 1 - table[:, ::-1].argmax(axis=1)


def _by_ends(table: BoolArray) -> IndexArray:
    """Rows in the order of (first, last) true place; ties keep their order."""
    first, last = _ends(table)
    return np.lexsort((last, first))
