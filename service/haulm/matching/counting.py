"""The exact count per pool: how many stems can still be given in a window while every earlier line keeps its own.

Four engines give the same answer; the narrowest that fits the pool's windows is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Protocol

from haulm.matching.agreeable import AgreeableCount
from haulm.matching.flow import FlowCount
from haulm.matching.grouping import PoolView
from haulm.matching.intervals import interval_order
from haulm.matching.layered import LayeredCount
from haulm.matching.supply import IntArray
from haulm.matching.unions import ListedUnions, UnionCount, closed_sets


class Engine(StrEnum):
    """The ways to count."""

    AGREEABLE = "agreeable"
    LAYERED = "layered"
    UNIONS = "unions"
    FLOW = "flow"


class Count(Protocol):
    """What can still be given in each window of one pool, in every season."""

    def narrow(self, wanted: list[int], given: IntArray | None = None) -> None:
        """Forget what can't bind while the lines of each window together never ask for more than this, or for nothing.

        Args:
            wanted: the most stems that are still asked in each window.
            given: stems per window that are given before any are given one by one, feasible together, shape
                (windows, seasons) or (windows, 1); None for none.
        """

    def is_safe(self, window: int) -> bool:
        """Whether, after narrowing, no ask of this window can fail in any season."""
        ...

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given, shape (seasons,) or (1,); None where nothing can bind."""

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems, at most `most`, shape (seasons,) or (1,)."""

    def left(self, given: IntArray, windows: Sequence[int]) -> IntArray:
        """What each window could still be given, asked alone, after these gifts and no others.

        Args:
            given: stems given per window, shape (windows, seasons) or (windows, 1).
            windows: the windows asked.

        Returns:
            Stems, shape (asked windows, seasons), or one column where all seasons are alike.
        """
        ...


class CannotCount(Exception):
    """The engine that a test insists on doesn't fit this pool."""


def exact_count(view: PoolView, engine: Engine | None = None) -> Count:
    """The count of one pool before anything is given.

    Args:
        view: the pool as its windows see it.
        engine: insist on one engine; None takes the narrowest that fits.

    Raises:
        CannotCount: the engine insisted on doesn't fit.
    """
    order = interval_order(view.accept) if engine not in (Engine.UNIONS, Engine.FLOW) else None
    if order is not None and order.agreeable and engine is not Engine.LAYERED:
        return AgreeableCount(view, order)
    if order is not None and engine is not Engine.AGREEABLE:
        return LayeredCount(view, order)
    if engine in (None, Engine.UNIONS):
        sets = closed_sets(view.accept)
        if sets is not None:
            return UnionCount(view, ListedUnions(view, sets))
    if engine in (None, Engine.FLOW):
        return FlowCount(view)
    raise CannotCount(engine)
