"""Deliveries that are less sure as a whole than they were promised, though every line alone is sure enough."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.farm.quantities import percents, reaches
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass
from haulm.language.words import _, marked
from haulm.planning.outlooks import Delivery
from haulm.planning.plan import Plan

_PROMISED_AS_A_WHOLE = {
    LineClass.WEDDING: marked("The wedding that leaves on {day}"),
    LineClass.ONE_OFF: marked("The order that leaves on {day}"),
    LineClass.HOLD: marked("The hold that leaves on {day}"),
}
"""Standing orders are promised week by week and line by line; the outlook shows how sure each week is as a whole."""


def unsure_as_a_whole(plan: Plan) -> Iterator[str]:
    """A sentence for each such delivery, the earliest first, without anybody's name; no gap would show them."""
    alone = {outlook.line.order for outlook in plan.outlooks if not reaches(outlook.confidence, outlook.line.level)}
    for found in plan.deliveries(None):
        if found.line_class in _PROMISED_AS_A_WHOLE and not found.is_sure and found.order not in alone:
            yield _in_words(found)


def _in_words(found: Delivery) -> str:
    sure, level = percents(found.joint_confidence, found.level)
    what = _(_PROMISED_AS_A_WHOLE[found.line_class]).format(day=day_in_words(found.due))
    said = _("{what} is {sure} sure as a whole, promised at {level}, though each of its {lines} lines is sure enough.")
    return said.format(what=what, sure=sure, level=level, lines=found.lines)
