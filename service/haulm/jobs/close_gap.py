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
    """What is short at a confidence (each line's own unless said), by decide-by date.

    Raises:
        NotAccepted: the confidence is no share.
    """
    return dated_gaps(desk.plan(), checked_level(level))


def dated_gaps(plan: Plan, level: float | None = None) -> tuple[DatedGap, ...]:
    """The gaps of a plan at a confidence, or at each line's own, by decide-by date."""
    gaps = (DatedGap(gap, known_decide_by(plan, gap)) for gap in plan.gaps(level))
    return tuple(sorted(gaps, key=lambda dated: (dated.decide_by, dated.gap.key)))


def gap_options(desk: Desk, key: str, level: float | None = None) -> tuple[Gap, tuple[Option, ...]]:
    """The options of one gap, each sowing proved by a re-match.

    Raises:
        NotFound: nothing with that key is short at this confidence.
        NotAccepted: the confidence is no share.
    """
    return options_at(desk.plan(), key, checked_level(level))


def options_at(plan: Plan, key: str, level: float | None = None) -> tuple[Gap, tuple[Option, ...]]:
    """The options of one gap of a plan, worked out once.

    Raises:
        NotFound: nothing with that key is short at this confidence.
    """
    gap = next((gap for gap in plan.gaps(level) if gap.key == key), None)
    if gap is None:
        raise NotFound(kind="gap", key=key)
    return gap, remedies(plan, gap)


def checked_level(level: float | None) -> float | None:
    """The confidence asked; None where each line is judged at its own level.

    Raises:
        NotAccepted: the confidence is no share.
    """
    if level is not None:
        check_level(level)
    return level
