"""Shortfalls and the options that can still close one of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.errors import NotFound
from haulm.jobs.desk import Desk
from haulm.jobs.list_availability import check_level
from haulm.planning.plan import Plan
from haulm.planning.remedies import known_decide_by, remedies


@dataclass(frozen=True, slots=True)
class DatedGap:
    """A gap with the last day on which it can still be closed."""

    gap: Gap
    decide_by: date


def list_shortfalls(desk: Desk, level: float | None = None) -> tuple[DatedGap, ...]:
    """What is short at a confidence (the farm's own unless said), by decide-by date.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    return dated_gaps(plan, asked_level(plan, level))


def dated_gaps(plan: Plan, level: float) -> tuple[DatedGap, ...]:
    """The gaps of a plan at a confidence, by decide-by date."""
    gaps = (DatedGap(gap, known_decide_by(plan, gap, level)) for gap in plan.gaps(level))
    return tuple(sorted(gaps, key=lambda dated: (dated.decide_by, dated.gap.key)))


def gap_options(desk: Desk, key: str, level: float | None = None) -> tuple[Gap, tuple[Option, ...]]:
    """The options of one gap, each sowing proved by a re-match.

    Raises:
        NotFound: nothing with that key is short at this confidence.
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    asked = asked_level(plan, level)
    gap = next((gap for gap in plan.gaps(asked) if gap.key == key), None)
    if gap is None:
        raise NotFound(kind="gap", key=key)
    return gap, remedies(plan, gap, asked)


def asked_level(plan: Plan, level: float | None) -> float:
    """The confidence asked, or the farm's own.

    Raises:
        NotAccepted: the confidence is no share.
    """
    asked = level if level is not None else plan.farm.site.default_confidence
    check_level(asked)
    return asked
