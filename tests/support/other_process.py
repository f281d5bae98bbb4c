"""What another process does to a database that a test has open: only what is committed reaches the test."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from datetime import datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from typing import ParamSpec, TypeVar

from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import Step, follow_gaps
from haulm.jobs.gaps.plan_season import plan_season
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.store.gap_book import JOB
from haulm.store.store import Store
from support.desks import MONDAY, NOW, Calendar

Given = ParamSpec("Given")
Found = TypeVar("Found")


def elsewhere(work: Callable[Given, Found], *given: Given.args, **named: Given.kwargs) -> Found:
    """What a function of a module gives in a process of its own, which has ended by then."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as others:
        return others.submit(work, *given, **named).result()


def erase_person(url: str, key: str) -> None:
    """Forget somebody's name."""
    with closing(Store.open(url)) as store, store.unit_of_work(actor="elsewhere", now=NOW) as work:
        work.erase_person(key)
        work.save()


def end_pass(url: str, token: str) -> None:
    """Make a pass worth nothing."""
    with closing(Store.open(url)) as store:
        store.doors.end_pass(token)


def restore(url: str, backup: Path) -> int:
    """Put a backup in place."""
    with closing(Store.open(url)) as store:
        return store.restore(backup, actor="elsewhere", now=NOW)


def takes_gaps(url: str, worker: str, now: datetime) -> bool:
    """Whether a worker gets the job of following gaps, for a minute."""
    with closing(Store.open(url)) as store:
        return store.leases.take(JOB, worker, now, timedelta(minutes=1))


def gaps_followed(url: str, now: datetime) -> Step:
    """What a step of another worker leaves."""
    with closing(Store.open(url)) as store:
        return follow_gaps(Desk(store, Planner(Drawing(200, 1)), Calendar(MONDAY), lambda: now), "other process")


def season_planned(url: str, now: datetime) -> Step:
    """What a step of another worker leaves of a combined plan that was asked for."""
    with closing(Store.open(url)) as store:
        return plan_season(Desk(store, Planner(Drawing(200, 1)), Calendar(MONDAY), lambda: now), "other process")
