"""One plan for the season: the smallest set of extra batches that closes every gap that sowings can close."""

from __future__ import annotations

from haulm.advice.combined import CombinedPlan
from haulm.jobs.close_gap import checked_level
from haulm.jobs.desk import Desk
from haulm.planning.combined_plan import combined_plan

NOT_COUNTED = "The hours of whoever sows are not known to the farm and not counted."


def plan_season(desk: Desk, level: float | None = None) -> CombinedPlan:
    """The combined plan at a confidence (each line's own unless said); nothing is written.

    Raises:
        NotAccepted: the confidence is no share.
    """
    return combined_plan(desk.plan(), checked_level(level))
