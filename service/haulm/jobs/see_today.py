"""Today: what has to be decided soonest, what is due on the farm, and the days that come next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.weeks import next_of
from haulm.jobs.close_gap import DatedGap, dated_gaps
from haulm.jobs.desk import Desk
from haulm.jobs.warn_early import Task, tasks_of

MOST_GAPS = 5


@dataclass(frozen=True, slots=True)
class Today:
    """What somebody needs to know in the morning.

    Attributes:
        farm: its name.
        day: today.
        level: how sure the farm wants to be, 0-1.
        gaps: the gaps whose day to decide comes first.
        more_gaps: how many others there are.
        tasks: what is due in the coming week, by day.
        bucket_day, cut_day: the next of each, today included.
        forecast_missing: why there is no forecast, or None.
    """

    farm: str
    day: date
    level: float
    gaps: tuple[DatedGap, ...]
    more_gaps: int
    tasks: tuple[Task, ...]
    bucket_day: date
    cut_day: date
    forecast_missing: str | None


def see_today(desk: Desk) -> Today:
    """What the day brings."""
    plan = desk.plan()
    site = plan.farm.site
    found = dated_gaps(plan, site.default_confidence)
    missing = plan.growth.missing
    return Today(
        farm=site.name,
        day=plan.today,
        level=site.default_confidence,
        gaps=found[:MOST_GAPS],
        more_gaps=max(0, len(found) - MOST_GAPS),
        tasks=tuple(sorted(tasks_of(plan), key=lambda task: (task.day, task.sentence))),
        bucket_day=next_of(plan.today, (site.bucket_day,)),
        cut_day=next_of(plan.today, site.cut_days),
        forecast_missing=None if missing is None else missing.sentence,
    )
