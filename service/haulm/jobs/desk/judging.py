"""Judging a promise: the one way, whatever door it comes through, and what the book of floors keeps of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import Floors, Guarded, Kept, Sure, following
from haulm.farm.words import OrderPart
from haulm.jobs.desk.desk import Desk
from haulm.planning.plan import Plan
from haulm.store.journal import FloorRow
from haulm.store.unit_of_work import UnitOfWork

PROMISED = "promised"
"""What the entry of a row says where it was judged and accepted as a promise."""


def judged(desk: Desk, plan: Plan, trial: Plan, promise: NewPromise) -> Verdict:
    """The judgement of a promise from the plan as it stands and the plan with the promise in its place."""
    return verdict(plan.moment, trial.moment, promise, floors_of(desk, plan))


def floors_of(desk: Desk, plan: Plan) -> Floors:
    """The floors at the version and on the day of a plan."""
    follow = has_new_figures(desk, desk.store.followed_model())
    return floors_from(desk.store.floors(plan.today), plan, follow=follow)


def has_new_figures(desk: Desk, model: int | None) -> bool:
    """Whether the figures come from another model than floors rest on; not where they were never looked at."""
    return model is not None and model != desk.planner.drawing.model


def floors_from(rows: Iterable[FloorRow], plan: Plan, *, follow: bool = False) -> Floors:
    """The floors that rows of the book say, at the version and on the day of a plan.

    A floor that a promise left where it was holds until anything else is written, or the day is over; from then on it
    follows how sure the line is. So it does where all are to `follow`, since the figures are new.
    """
    stays = {guarded(row): not follow and _stays(row, plan) for row in rows}
    return Floors({guarded(row): Kept(row.debt, row.floor if stays[guarded(row)] else None) for row in rows})


def guarded(row: FloorRow) -> Guarded:
    """What a row of the book guards."""
    return Guarded(row.order, row.due, row.line, row.part)


def guarded_in(facts: Mapping[str, Any], order: str) -> Guarded:
    """What the facts of a fall are about."""
    part = OrderPart(facts["part"]) if facts.get("part") else None
    return Guarded(order, date.fromisoformat(facts["due"]), facts["line"], part)


def keep_floors(desk: Desk, work: UnitOfWork, plan: Plan, found: Verdict, *, entry: int) -> None:
    """Write what the book has to keep of a promise that was made.

    What is promised anew starts anew. Of the others only an accepted promise is noted: what an override takes, floors
    follow, like anything else that is no accepted promise.

    Args:
        desk: the desk.
        work: the unit of work that writes the promise.
        plan: the plan before it.
        found: its judgement.
        entry: the entry of the promise.
    """
    work.keep_floors(list(_rows(floors_of(desk, plan), plan, found)), entry=entry)


def _rows(floors: Floors, plan: Plan, found: Verdict) -> Iterator[FloorRow]:
    for sure in found.promised:
        # A floor without a debt follows by itself: a row is only needed where a debt has to end.
        if found.level > 0 or floors.debt_of(sure.what) > 0:
            yield floor_row(sure, Kept(0.0, following(sure, 0.0)), plan)
    if found.accepted:
        for what, kept in found.kept.items():
            yield floor_row(plan.moment.sure[what], kept, plan)


def floor_row(sure: Sure, kept: Kept, plan: Plan, causes: Iterable[str] = ()) -> FloorRow:
    """The row of the book that says what is kept of a floor, and what moved it where no promise did."""
    what = sure.what
    floor = following(sure, kept.debt) if kept.floor is None else kept.floor
    shares = (sure.level, sure.confidence, floor, kept.debt)
    return FloorRow(what.order, what.due, what.line, *shares, plan.today, tuple(causes), what.part)


def _stays(row: FloorRow, plan: Plan) -> bool:
    return not row.causes and row.version == plan.farm.version and row.day == plan.today
