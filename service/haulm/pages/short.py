"""What will be short, what still closes a gap, and taking one of the ways."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.errors import NotFound
from haulm.farm_folder.cells import values_of
from haulm.jobs.change_rows import RowAsked, add_row
from haulm.jobs.close_gap import gap_options, list_shortfalls
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/short")
def short(request: Request, desk: PageDesk) -> Response:
    """Every gap, by the day to decide."""
    plan = desk.plan()
    return page(
        request,
        "short.html",
        gaps=list_shortfalls(desk),
        level=plan.farm.site.default_confidence,
        forecast_missing=None if plan.growth.missing is None else plan.growth.missing.sentence,
    )


@router.get("/short/{gap}")
def one_gap(request: Request, desk: PageDesk, gap: str) -> Response:
    """One gap with the ways that still close it, each proved; the page that says it is closed where it is."""
    farm = desk.store.farm()
    try:
        found, ways = gap_options(desk, gap)
    except NotFound:
        return page(request, "closed.html", gap=gap, level=farm.site.default_confidence)
    return page(
        request,
        "gap.html",
        gap=found,
        ways=list(enumerate(ways)),
        currency=farm.site.currency,
        level=farm.site.default_confidence,
    )


@router.post("/short/{gap}/sow")
def sow(request: Request, gap: str, form: TheForm) -> Response:
    """Put the batches of one way into the plan, exactly as they were proved."""
    desk = desk_of(request)
    _, ways = gap_options(desk, gap)
    wanted = form.get("way", "")
    chosen = next((way for place, way in enumerate(ways) if str(place) == wanted and way.batches), None)
    if chosen is None:
        raise NotFound(kind="way to close this gap", key=wanted)

    def sown(work: UnitOfWork) -> None:
        for batch in chosen.batches:
            add_row(desk, work, RowAsked("batches", values_of("batches", batch)))

    carried_out(request, form, sown)
    return back_to(f"/short/{gap}", "added")
