"""Today: what has to be decided soonest, what is due on the farm, and the days that come next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.next_season import is_slack
from haulm.farm.orders import Order
from haulm.farm.weeks import next_of
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.list_jobs import GapJob, gap_jobs, work_due
from haulm.jobs.gaps.see_shortfalls import NamedGap, named_gaps
from haulm.jobs.gaps.standing_gaps import dated_gaps, days_written
from haulm.jobs.growing.due_work import Task, gathered
from haulm.jobs.promises.new_figures import see_new_figures
from haulm.jobs.warning.keep_backups import BackupSeen, last_backup
from haulm.jobs.warning.warn_early import mails_come_back, notes_of

MOST_JOBS = 5
_HOLDS_AHEAD = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Today:
    """What somebody needs to know in the morning.

    Attributes:
        farm: its name.
        day: today.
        levels: how sure everything should be, in words.
        jobs: what closes gaps, the dearest to wait with first; `more_jobs` others are only counted.
        gaps: gaps whose job is still being worked out.
        tasks: what is due in the coming week, by day.
        holds: orders on hold whose stems are let go within two weeks, the soonest first.
        notes: sentences about answers, mails and quotes that somebody has to look at.
        new_figures: what new figures of a release took from promises, in a line; None where nothing is to be looked at.
        is_bare: whether there is neither a batch nor an order yet.
        bucket_day, cut_day: the next of each, today included.
        forecast_missing: why there is no forecast, or None.
        backup: the last backup, in a sentence.
        is_slack: whether these are the months in which the next season is planned.
    """

    farm: str
    day: date
    levels: str
    jobs: tuple[GapJob, ...]
    more_jobs: int
    gaps: tuple[NamedGap, ...]
    tasks: tuple[Task, ...]
    holds: tuple[Order, ...]
    notes: tuple[str, ...]
    new_figures: str | None
    is_bare: bool
    bucket_day: date
    cut_day: date
    forecast_missing: str | None
    backup: BackupSeen
    is_slack: bool


def see_today(desk: Desk) -> Today:
    """What the day brings."""
    plan = desk.plan()
    site = plan.farm.site
    standing = dated_gaps(desk, plan)
    jobs = gap_jobs(desk, plan, standing)
    covered = {name for job in jobs for name in job.covers}
    missing = plan.growth.missing
    return Today(
        farm=site.name,
        day=plan.today,
        levels=levels_in_words(site),
        jobs=jobs[:MOST_JOBS],
        more_jobs=max(0, len(jobs) - MOST_JOBS),
        gaps=named_gaps(plan, (found for found in standing if found.gap.key not in covered)),
        tasks=gathered(work_due(desk, plan)),
        holds=_lapsing(plan.farm.orders, plan.today),
        notes=tuple(notes_of(desk)),
        new_figures=see_new_figures(desk).sentence,
        is_bare=not (plan.farm.batches or plan.farm.known_stems or plan.farm.orders or plan.farm.standing_orders),
        bucket_day=next_of(plan.today, (site.bucket_day,)),
        cut_day=next_of(plan.today, site.cut_days),
        forecast_missing=None if missing is None else missing.sentence,
        backup=last_backup(desk),
        is_slack=is_slack(plan.today, site.latitude),
    )


def beside_the_farm(desk: Desk) -> tuple[int, int, BackupSeen]:
    """What else today rests on beside the farm: mails that came back, what was written of gaps, the last backup."""
    return mails_come_back(desk), days_written(desk), last_backup(desk)


def _lapsing(orders: Iterable[Order], today: date) -> tuple[Order, ...]:
    """The holds that end soon, the soonest first."""
    found = [
        (order.hold_until, order.key, order)
        for order in orders
        if order.status is OrderStatus.ON_HOLD
        and order.hold_until is not None
        and today <= order.hold_until <= today + _HOLDS_AHEAD
    ]
    return tuple(order for _, _, order in sorted(found, key=lambda one: one[:2]))
