"""Follow the gaps after every version: they keep their names; days and ways are worked out, the most urgent first.

It is done a step at a time outside of any request, by one worker of all that may be there. What a step has found is
kept, so that another worker goes on where one was cut off. Nothing is begun anew while somebody is still writing.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from enum import StrEnum

from haulm.advice.gap_names import named_gaps
from haulm.advice.shortfalls import Gap
from haulm.farm.words import LineClass
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.standing_gaps import basis_now, basis_of
from haulm.planning.gap_ways import days_and_ways
from haulm.planning.plan import Plan
from haulm.store.gap_book import JOB, KeptGap, Worked

QUIET = timedelta(seconds=3)
"""So long after anything was written nothing is begun: more may follow."""
LEASE = timedelta(minutes=1)
"""So long after its last step a worker that was cut off holds up others."""


class Step(StrEnum):
    """What a step leaves: nothing to do; more at once; something later, since others write or are at it."""

    DONE = "done"
    MORE = "more"
    LATER = "later"


def follow_gaps(desk: Desk, worker: str, *, quiet: timedelta = QUIET) -> Step:
    """Write down the names of this version's gaps, or work out the most urgent one that is not worked out for it.

    Args:
        desk: the desk; its clock says whether anything was just written, and how long the lease holds.
        worker: who is at work; no two have the same name.
        quiet: how long nothing must have been written.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    if is_worked_out(desk):
        return Step.DONE
    if is_just_written(desk, quiet) or not desk.store.leases.take(JOB, worker, desk.now(), LEASE):
        return Step.LATER
    plan = desk.plan()
    step = _step(desk, plan, worker)
    if step is Step.DONE:
        desk.store.leases.give_back(JOB, worker)
    return step


def work_out_gaps(desk: Desk) -> bool:
    """Take all steps at once, for whoever is about to tell all gaps; False where another worker is at it.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    worker = uuid.uuid4().hex
    step = Step.MORE
    while step is Step.MORE:
        step = follow_gaps(desk, worker, quiet=timedelta(0))
    return step is Step.DONE


def is_worked_out(desk: Desk) -> bool:
    """Whether names, days and ways are those of the farm's version, of today, and of the model."""
    followed = desk.store.gap_book.followed()
    return followed is not None and followed.is_done and followed.basis == basis_now(desk)


def is_just_written(desk: Desk, quiet: timedelta) -> bool:
    """Whether something was written so short a while ago that more may follow."""
    last = desk.store.last_written_at()
    # A clock that was put back is no reason to wait for it.
    return last is not None and timedelta(0) <= desk.now() - last < quiet


def _step(desk: Desk, plan: Plan, worker: str) -> Step:
    book, basis = desk.store.gap_book, basis_of(desk, plan)
    kept = {one.standing.name: one for one in book.gaps()}
    named = {one.standing.name: one for one in named_gaps(plan.gaps(None), [one.standing for one in kept.values()])}
    followed = book.followed()
    if followed is None or followed.basis != basis:
        anew = [KeptGap(one.standing, None if one.is_new else kept[name].worked) for name, one in named.items()]
        is_written = book.write_names(worker, anew, basis, is_done=not anew)
        return _left(is_written=is_written, is_more=bool(anew))
    waiting = [one for one in kept.values() if one.worked is None or one.worked.basis != basis]
    if not waiting:
        is_written = book.write_names(worker, kept.values(), basis, is_done=True)
        return _left(is_written=is_written, is_more=False)
    gaps = {name: one.gap for name, one in named.items()}
    first = _most_urgent(plan, waiting, gaps)
    name, before = first.standing.name, first.worked
    names = {gap.key: other for other, gap in gaps.items()}
    days, ways = days_and_ways(plan, gaps[name], None if before is None else before.days.way, names)
    is_last = len(waiting) == 1
    worked = Worked(days, basis, desk.now())
    is_written = book.write_worked(worker, name, (worked, ways), is_done=is_last)
    return _left(is_written=is_written, is_more=not is_last)


def _left(*, is_written: bool, is_more: bool) -> Step:
    if not is_written:
        return Step.LATER
    return Step.MORE if is_more else Step.DONE


def _most_urgent(plan: Plan, waiting: Sequence[KeptGap], gaps: Mapping[str, Gap]) -> KeptGap:
    """The gap whose day comes first; one that has none yet may be due today; then weddings, then what lacks most."""

    def urgency(one: KeptGap) -> tuple[date, bool, float, str]:
        gap = gaps[one.standing.name]
        day = plan.today if one.worked is None else max(plan.today, one.worked.days.act_by)
        has_wedding = any(short.line.line_class is LineClass.WEDDING for short in gap.shortfalls)
        return day, not has_wedding, -gap.expected_missing, one.standing.name

    return min(waiting, key=urgency)
