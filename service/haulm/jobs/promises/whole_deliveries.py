"""Deliveries that are less sure as a whole than they were promised, though every line alone is sure enough."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.farm.quantities import percents, reaches
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass
from haulm.planning.outlooks import Delivery
from haulm.planning.plan import Plan

_PROMISED_AS_A_WHOLE = {LineClass.WEDDING: "The wedding", LineClass.ONE_OFF: "The order", LineClass.HOLD: "The hold"}
"""Standing orders are promised week by week and line by line; the outlook shows how sure each week is as a whole."""


def unsure_as_a_whole(plan: Plan) -> Iterator[str]:
    """A sentence for each such delivery, the earliest first, without anybody's name; no gap would show them."""
    alone = {outlook.line.order for outlook in plan.outlooks if not reaches(outlook.confidence, outlook.line.level)}
    for found in plan.deliveries(None):
        if found.line_class in _PROMISED_AS_A_WHOLE and not found.is_sure and found.order not in alone:
            yield _in_words(found)


def _in_words(found: Delivery) -> str:
    sure, level = percents(found.joint_confidence, found.level)
    what = f"{_PROMISED_AS_A_WHOLE[found.line_class]} that leaves on {day_in_words(found.due)}"
    alone = f"though each of its {found.lines} lines is sure enough"
    return f"{what} is {sure} sure as a whole, promised at {level}, {alone}."
