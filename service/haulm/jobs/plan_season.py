"""One plan for the season: the smallest set of extra batches that closes every gap that sowings can close."""

from __future__ import annotations

from dataclasses import replace

from haulm.advice.combined import CombinedPlan
from haulm.jobs.close_gap import checked_level
from haulm.jobs.desk import Desk
from haulm.jobs.standing_gaps import named_at
from haulm.planning.combined_plan import combined_plan

NOT_COUNTED = "The hours of whoever sows are not known to the farm and not counted."


def plan_season(desk: Desk, level: float | None = None) -> CombinedPlan:
    """The combined plan at a confidence (each line's own unless said); nothing is written.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    found = combined_plan(plan, checked_level(level))
    closed = named_at(desk, plan, [one.gap for one in found.closed], level)
    still = named_at(desk, plan, [one.gap for one in found.open], level)
    return replace(
        found,
        closed=tuple(replace(one, gap=gap) for one, gap in zip(found.closed, closed, strict=True)),
        open=tuple(replace(one, gap=gap) for one, gap in zip(found.open, still, strict=True)),
    )
