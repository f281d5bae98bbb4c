"""One plan for the season: the smallest set of extra batches that closes every gap that sowings can close.

Whoever wants it asks for it; the background works it out, a gap a step, and keeps how far it is and what it finds.
Looking works nothing out: the last answer stands, as of its moment, until somebody asks anew.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta

from haulm.advice.season_plan import LookedAt, SeasonPlan
from haulm.advice.shortfalls import Gap
from haulm.jobs.desk.asked_level import checked_level
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import LEASE, QUIET, Step, is_just_written
from haulm.jobs.gaps.kept_options import ways_kept
from haulm.jobs.gaps.standing_gaps import basis_now, basis_of, dated_gaps, named_at
from haulm.language.words import marked
from haulm.planning.combined_plan import combined_plan, look_at
from haulm.planning.plan import Plan
from haulm.store.season_book import JOB, AskedPlan, Begun, FoundPlan

NOT_COUNTED = marked("The hours of whoever sows are not known to the farm and not counted.")


@dataclass(frozen=True, slots=True)
class SeasonAnswer:
    """A combined plan as it stands.

    Attributes:
        level: the confidence asked of every line, 0-1; None for each line's own.
        is_pending: whether it is being worked out, for the first time or anew.
        progress: how many of how many gaps are looked at; None before it is begun, and once it is done.
        plan: what was found last; None until it first was.
        as_of: when that was.
        is_overtaken: whether the farm, the day or the forecast model is another since.
    """

    level: float | None
    is_pending: bool = False
    progress: tuple[int, int] | None = None
    plan: SeasonPlan | None = None
    as_of: datetime | None = None
    is_overtaken: bool = False


def season_plan_kept(desk: Desk, level: float | None = None) -> SeasonAnswer:
    """The combined plan at a confidence (each line's own unless said) as it is kept. Reads only.

    Raises:
        FarmEmpty: nothing was imported yet.
        NotAccepted: the confidence is no share.
    """
    desk.store.farm()
    asked = desk.store.season_book.at(checked_level(level))
    return SeasonAnswer(level) if asked is None else _answer(desk, asked)


def ask_season_plan(desk: Desk, level: float | None = None) -> SeasonAnswer:
    """Have it worked out for the farm as it is now, unless it is, or is being worked out already.

    Raises:
        FarmEmpty: nothing was imported yet.
        NotAccepted: the confidence is no share.
    """
    kept = season_plan_kept(desk, level)
    if kept.is_pending or (kept.plan is not None and not kept.is_overtaken):
        return kept
    desk.store.season_book.ask(level, desk.now())
    return season_plan_kept(desk, level)


def plan_season(desk: Desk, worker: str, *, quiet: timedelta = QUIET) -> Step:
    """Look at one more gap for the plan that was asked for first, or put it together where all are looked at.

    Args:
        desk: the desk; its clock says whether anything was just written, and how long the lease holds.
        worker: who is at work; no two have the same name.
        quiet: how long nothing must have been written.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    book = desk.store.season_book
    if book.waiting() is None:
        return Step.DONE
    if is_just_written(desk, quiet) or not desk.store.leases.take(JOB, worker, desk.now(), LEASE):
        return Step.LATER
    asked = book.waiting()
    is_written = asked is None or _taken_further(desk, worker, asked)
    if not is_written:
        return Step.LATER
    if book.waiting() is not None:
        return Step.MORE
    desk.store.leases.give_back(JOB, worker)
    return Step.DONE


def work_out_season_plans(desk: Desk) -> bool:
    """Take all steps at once; False where another worker is at it.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    worker, step = uuid.uuid4().hex, Step.MORE
    while step is Step.MORE:
        step = plan_season(desk, worker, quiet=timedelta(0))
    return step is Step.DONE


def _answer(desk: Desk, asked: AskedPlan) -> SeasonAnswer:
    begun, found = asked.begun, asked.found
    return SeasonAnswer(
        asked.level,
        asked.is_waiting,
        (len(begun.looked), begun.gaps) if begun is not None and asked.is_waiting else None,
        None if found is None else found.plan,
        asked.at,
        found is not None and found.basis != basis_now(desk),
    )


def _taken_further(desk: Desk, worker: str, asked: AskedPlan) -> bool:
    """A step of a plan; False where the job is another's by now."""
    plan, book, level = desk.plan(), desk.store.season_book, asked.level
    basis, gaps, begun = basis_of(desk, plan), plan.gaps(level), asked.begun
    looked = begun.looked if begun is not None and begun.basis == basis else ()
    if len(looked) < len(gaps):
        more = (*looked, _looked(desk, plan, gaps[len(looked)], level))
        return book.write_begun(worker, level, Begun(basis, len(gaps), more))
    found = combined_plan(plan, level, looked, lambda gaps: named_at(desk, plan, gaps, level))
    is_done = basis == basis_now(desk)
    return book.write_found(worker, level, (FoundPlan(basis, found), desk.now()), is_done=is_done)


def _looked(desk: Desk, plan: Plan, gap: Gap, level: float | None) -> LookedAt:
    """What is found of a gap; where its ways are kept for the farm as it is now, they are not worked out again."""
    same = next((one for one in dated_gaps(desk, plan, level) if one.plain == gap), None)
    return look_at(plan, gap, None if same is None or same.is_pending else ways_kept(desk, same))
