"""What is to be done at its time, once: each day's upkeep, the letter on the farm's days, grave news at once."""

from __future__ import annotations

from datetime import date, timedelta

from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.jobs.desk import Desk
from haulm.jobs.keep_forecast import kept_this_week
from haulm.jobs.lapse_holds import lapse_holds
from haulm.jobs.recheck_quotes import recheck_quotes
from haulm.jobs.send_digest import send_digest, send_grave_news

ACTOR = "clock"


def run_due(desk: Desk) -> tuple[str, ...]:
    """Do what is due today and has not been done; gives the names of what was done.

    A letter that was missed, since the computer slept, goes out once on waking.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    today = desk.today()
    site = desk.store.farm().site
    done: list[str] = []
    for job, period, act in (
        ("forecast", str(Week.of(today)), lambda: kept_this_week(desk, actor=ACTOR)),
        ("holds", str(today), lambda: lapse_holds(desk, ACTOR)),
        ("rechecks", str(today), lambda: recheck_quotes(desk, ACTOR)),
        ("digest", str(last_of(today, site.digest_days)), lambda: send_digest(desk, ACTOR)),
    ):
        if desk.store.outbox.do_once(job, period, desk.now()):
            act()
            done.append(job)
    if send_grave_news(desk, ACTOR):
        done.append("grave news")
    return tuple(done)


def last_of(today: date, weekdays: tuple[Weekday, ...]) -> date:
    """The last day up to today that is one of these weekdays; today where none is named."""
    wanted = {weekday.iso for weekday in weekdays}
    days = (today - timedelta(days=back) for back in range(7))
    return next((day for day in days if day.isoweekday() in wanted), today)
