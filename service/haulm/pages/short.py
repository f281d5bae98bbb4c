"""What will be short, what still closes a gap, and taking one of the ways."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.errors import NotAccepted, NotFound
from haulm.farm_folder.cells import values_of
from haulm.jobs.change_rows import RowAsked, add_row
from haulm.jobs.close_gap import gap_options
from haulm.jobs.desk import Desk
from haulm.jobs.level_words import levels_in_words
from haulm.jobs.see_shortfalls import caution_of, see_shortfalls, way_mark
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/short", dependencies=[kept()])
def short(request: Request, desk: PageDesk) -> Response:
    """Every gap, by the day to decide."""
    plan = desk.plan()
    return page(
        request,
        "short.html",
        gaps=see_shortfalls(desk),
        levels=levels_in_words(plan.farm.site),
        forecast_missing=None if plan.growth.missing is None else plan.growth.missing.sentence,
    )


@router.get("/short/{gap}")
def one_gap(request: Request, desk: PageDesk, gap: str) -> Response:
    """One gap with the ways that still close it, each proved; the page that says it is closed where it is."""
    farm = desk.store.farm()
    try:
        found, ways = gap_options(desk, gap)
    except NotFound:
        return page(request, "closed.html", gap=gap, levels=levels_in_words(farm.site))
    return page(
        request,
        "gap.html",
        gap=found,
        asked=asked_in_words(found.asked, desk.plan().crops),
        caution=caution_of(desk.plan(), found.asked),
        ways=[(way_mark(way), way) for way in ways],
        currency=farm.site.currency,
    )


@router.post("/short/{gap}/sow")
def sow(request: Request, gap: str, form: TheForm) -> Response:
    """Put the batches of one way into the plan, exactly as they were shown; a second tap adds nothing."""
    desk = desk_of(request)
    chosen = _way_marked(desk, gap, form.get("way", ""))

    def sown(work: UnitOfWork) -> None:
        if chosen is None:
            found = "one that has changed since the page was shown"
            raise NotAccepted(where="the sowing", found=found, accepted="one that the page of the gap shows now")
        for batch in chosen.batches:
            add_row(desk, work, RowAsked("batches", values_of("batches", batch)))

    carried_out(request, form, sown)
    return back_to(f"/short/{gap}", "added")


def _way_marked(desk: Desk, gap: str, mark: str) -> Option | None:
    """The way that a page showed under a mark, or None where it is no way any more."""
    try:
        _, ways = gap_options(desk, gap)
    except NotFound:
        return None
    return next((way for way in ways if way.batches and way_mark(way) == mark), None)
