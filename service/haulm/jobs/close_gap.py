"""Shortfalls and the options that can still close one of them."""

from __future__ import annotations

from haulm.advice.options.option import Option
from haulm.errors import NotFound
from haulm.jobs.desk import Desk
from haulm.jobs.list_availability import check_level
from haulm.jobs.standing_gaps import DatedGap, dated_gaps, gap_named
from haulm.planning.plan import Plan
from haulm.planning.remedies import recommended_of, remedies


def list_shortfalls(desk: Desk, level: float | None = None) -> tuple[DatedGap, ...]:
    """What is short at a confidence (each line's own unless said), by the day to act.

    Raises:
        NotAccepted: the confidence is no share.
    """
    return dated_gaps(desk, desk.plan(), checked_level(level))


def gap_options(desk: Desk, key: str, level: float | None = None) -> tuple[DatedGap, tuple[Option, ...]]:
    """The options of one gap, the recommended one first, each sowing proved by a re-match.

    Raises:
        NotFound: nothing with that key is short at this confidence.
        NotAccepted: the confidence is no share.
    """
    return options_at(desk, desk.plan(), key, checked_level(level))


def options_at(desk: Desk, plan: Plan, key: str, level: float | None = None) -> tuple[DatedGap, tuple[Option, ...]]:
    """The options of one gap of a plan, worked out once, the recommended one first.

    Raises:
        NotFound: nothing with that key is short at this confidence.
    """
    found = gap_named(desk, plan, key, level)
    if found is None:
        raise NotFound(kind="gap", key=key)
    best = recommended_of(plan, found.plain, found.way)
    return found, (best, *(option for option in remedies(plan, found.plain) if option is not best))


def checked_level(level: float | None) -> float | None:
    """The confidence asked; None where each line is judged at its own level.

    Raises:
        NotAccepted: the confidence is no share.
    """
    if level is not None:
        check_level(level)
    return level
