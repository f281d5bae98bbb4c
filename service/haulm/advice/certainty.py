"""How sure something is, in the words that people outside the farm read: the one table of them.

Whoever plans a bucket counts on it or does not; whoever marries thinks in summers. Neither reads a percentage, and
whole summers are rounded down, so that nothing looks surer than it is.
"""

from __future__ import annotations

from haulm.farm.quantities import reaches, whole_down
from haulm.language.words import _, many, marked

NEARLY_ALWAYS, HALF = 0.95, 0.5
SETTLED = marked("settled")
COUNTED_ON, LIKELY, MAY_BE_SHORT, NEARLY_MISSING = (
    marked("we count on it"),
    marked("likely"),
    marked("may be short"),
    marked("nearly surely missing"),
)
THERE = marked("it is there")
_NEARLY_EVERY, _HARDLY_ANY = marked("in nearly every summer"), marked("in hardly any summer")


def for_florist(confidence: float, level: float, *, is_settled: bool = False) -> str:
    """How sure a florist's line is.

    Args:
        confidence: the share of seasons that fill all of it, 0-1.
        level: the level it is promised at, 0-1.
        is_settled: whether its stems are cut and packed.

    Returns:
        A few words without a number.

    Source: the project's own: counted on from 95 %, where that is its level at least; likely from its level; may be
    short from one half.
    """
    if is_settled:
        return _(SETTLED)
    if reaches(confidence, max(NEARLY_ALWAYS, level)):
        return _(COUNTED_ON)
    if reaches(confidence, level):
        return _(LIKELY)
    return _(MAY_BE_SHORT if reaches(confidence, HALF) else NEARLY_MISSING)


def certainty(confidence: float, *, is_settled: bool = False) -> str:
    """How sure something is as a couple reads it.

    Args:
        confidence: the share of seasons in which all of it is there, 0-1.
        is_settled: whether its stems are cut and packed.

    Returns:
        `in nearly every summer` from 95 %, `in 8 summers of ten`, `in hardly any summer` below 10 %.

    Source: the project's own; whole summers, rounded down.
    """
    if is_settled:
        return _(THERE)
    if reaches(confidence, NEARLY_ALWAYS):
        return _(_NEARLY_EVERY)
    summers = whole_down(confidence * 10)
    return many("in {count} summer of ten", "in {count} summers of ten", summers) if summers else _(_HARDLY_ANY)
