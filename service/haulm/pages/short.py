"""What will be short, what still closes a gap, and taking one of the ways."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request, Response

from haulm.errors import NotFound
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.desk.seen import Seen
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.gaps.beyond_words import beyond_words
from haulm.jobs.gaps.close_gap import options_at
from haulm.jobs.gaps.faces_words import causes_in_words
from haulm.jobs.gaps.over_full_beds import over_full_beds
from haulm.jobs.gaps.see_shortfalls import (
    gap_days_in_words,
    jobs_that_close,
    named_gap,
    see_shortfalls,
    way_as_seen,
    ways_in_words,
    ways_shown,
)
from haulm.jobs.gaps.standing_gaps import days_written
from haulm.pages.doing import FIRST_SIGHT, NotDone, PageDesk, PageRoute, TheForm, desk_of, done_as_seen
from haulm.pages.drawing import pails
from haulm.pages.look import back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.planning.why_unsure import faces_of, lines_of_gap
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_FEW_JOBS = 8


@router.get("/short", dependencies=[kept(days_written)])
def short(request: Request, desk: PageDesk, part: PartAsked = 1, jobs: Literal["few", "all"] = "few") -> Response:
    """What to do about what is short, and every gap by the day to decide."""
    plan, found = desk.plan(), jobs_that_close(desk)
    shown = found if jobs == "all" else found[:_FEW_JOBS]
    return page(
        request,
        "short.html",
        gaps=part_of(see_shortfalls(desk), part),
        jobs=shown,
        more_jobs=len(found) - len(shown),
        today=plan.today,
        levels=levels_in_words(plan.farm.site),
        forecast_missing=None if plan.growth.missing is None else plan.growth.missing.sentence,
    )


@router.get("/short/{gap}")
def one_gap(request: Request, desk: PageDesk, gap: str) -> Response:
    """One gap with the ways that still close it, each proved; the page that says it is closed where it is."""
    return _drawn(request, desk, gap, FIRST_SIGHT)


@router.post("/short/{gap}/sow")
def sow(request: Request, gap: str, form: TheForm) -> Response:
    """Put the batches of one way into the plan, exactly as they were shown; a second tap adds nothing."""
    desk = desk_of(request)

    def sown(work: UnitOfWork, seen: Seen) -> None:
        way = way_as_seen(desk, desk.plan_of(work.farm), gap, (form.get("way", ""), seen))
        for batch in way.batches:
            add_row(desk, work, RowAsked("batches", values_of("batches", batch)))

    def drawn_anew(why: NotDone) -> Response:
        return _drawn(request, desk, gap, why)

    return done_as_seen(request, form, sown, (drawn_anew, lambda: back_to(f"/short/{gap}", "added")))


def _drawn(request: Request, desk: Desk, gap: str, why: NotDone) -> Response:
    """The page of a gap, and above it why nothing was done, where something was to be."""
    plan = desk.plan()
    try:
        found = options_at(desk, plan, gap)
    except NotFound:
        levels = levels_in_words(plan.farm.site)
        return page(request, "closed.html", status=why.status, gap=gap, levels=levels, why=why)
    return page(
        request,
        "gap.html",
        status=why.status,
        gap=found.gap.gap,
        found=named_gap(plan, found.gap),
        days=gap_days_in_words(plan, found.gap),
        ways=ways_shown(plan, found.options),
        beyond=beyond_words(desk, plan, found),
        ways_since=ways_in_words(plan, found),
        open_since=None if found.ways is None else found.ways.why_open,
        drawn=pails(faces_of(plan, lines_of_gap(found.gap.gap))),
        causes=() if found.ways is None else causes_in_words(found.ways.causes),
        over_full=[bed.sentence for bed in over_full_beds(plan)],
        why=why,
    )
