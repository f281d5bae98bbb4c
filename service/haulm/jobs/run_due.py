"""What is to be done at its time, once: each day's upkeep, the letter on the farm's days, grave news at once."""

from __future__ import annotations

from haulm.farm.weeks import Week, last_of
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
        ("upkeep", str(today), lambda: (lapse_holds(desk, ACTOR), recheck_quotes(desk, ACTOR))),
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
