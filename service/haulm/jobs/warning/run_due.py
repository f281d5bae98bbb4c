"""What is to be done at its time, once: each day's upkeep, the letter on the farm's days, grave news at once.

The week's list and the floors are looked at whenever anything was written since.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from haulm.farm.weeks import Week, last_of
from haulm.jobs.bucket_day.deliver_list import deliver_at_midnight
from haulm.jobs.bucket_day.follow_week import follow_week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.food_marks import take_back_food_marks
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.growing.keep_forecast import kept_this_week
from haulm.jobs.promises.follow_floors import follow_floors, is_followed
from haulm.jobs.promises.lapse_holds import lapse_holds
from haulm.jobs.promises.recheck_quotes import recheck_quotes
from haulm.jobs.warning.send_digest import send_due_digest, send_grave_news

ACTOR = "clock"
Due = tuple[str, str, Callable[[], object]]


def run_due(desk: Desk, *, writes_letters: bool = True) -> tuple[str, ...]:
    """Do what is due today and has not been done; gives the names of what was done.

    A job counts as done when it has ended well: one that fails, or is cut off, is tried again at the next call, and
    holds up no other. Each can be done twice without harm, since what it writes has a key of its own. A letter that was
    missed, since the computer slept, goes out once on waking. Where no mail can leave none is written: it would be
    stale by the day it could.

    Raises:
        FarmEmpty: nothing was imported yet.
        Exception: the first fault of a job, once the others have had their turn.
    """
    faults: list[Exception] = []
    done: list[str] = []
    for job, period, act in _due(desk, desk.today(), writes_letters=writes_letters):
        if not desk.store.outbox.is_done(job, period):
            try:
                act()
            except Exception as fault:  # whatever it is, the other jobs are due all the same
                faults.append(fault)
            else:
                desk.store.outbox.note_done(job, period, desk.now())
                done.append(job)
    try:
        _follow(desk)
    except Exception as fault:  # as above
        faults.append(fault)
    if faults:
        raise faults[0]
    if writes_letters and send_grave_news(desk, ACTOR):
        done.append("grave news")
    return tuple(done)


def _follow(desk: Desk) -> None:
    """Look at the week's list and at the floors, where anything was written or a day has begun since the last time."""
    if not is_followed(desk, desk.store.followed()):
        follow_week(desk, ACTOR)
        follow_floors(desk, ACTOR)


def _due(desk: Desk, today: date, *, writes_letters: bool) -> Iterator[Due]:
    # Before anything else is done or told: floors that rest on the figures of another release fall with those of this.
    yield "figures", str(desk.planner.drawing.model), lambda: _follow(desk)
    yield "food marks", str(today), lambda: take_back_food_marks(desk, ACTOR)
    yield "round", str(today), lambda: deliver_at_midnight(desk, ACTOR)
    yield "holds", str(today), lambda: lapse_holds(desk, ACTOR)
    yield "rechecks", str(today), lambda: recheck_quotes(desk, ACTOR)
    yield "forecast", str(Week.of(today)), lambda: kept_this_week(desk, actor=ACTOR)
    site = desk.store.farm().site
    letter = last_of(today, (*site.digest_days, site.short_letter_day))
    if writes_letters and not desk.store.outbox.is_done("digest", str(letter)) and work_out_jobs(desk):
        yield "digest", str(letter), lambda: send_due_digest(desk, ACTOR, letter)
