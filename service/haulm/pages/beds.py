"""The beds over the year ahead: metres by week, and one bed sowing by sowing."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.gaps.see_beds import see_bed, see_beds
from haulm.pages.bed_drawing import bed_drawn, bed_months, sowing_drawn
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/beds", dependencies=[kept()])
def beds(request: Request, desk: PageDesk) -> Response:
    """Every bed over the year ahead."""
    rows = [(bed, bed_drawn(bed)) for bed in see_beds(desk)]
    return page(request, "beds.html", rows=rows, months=bed_months(desk.today()))


@router.get("/beds/{key}", dependencies=[kept()])
def bed(request: Request, desk: PageDesk, key: str) -> Response:
    """One bed, a strip for each sowing."""
    found, today = see_bed(desk, key), desk.today()
    return page(
        request,
        "bed.html",
        found=found,
        drawn=bed_drawn(found),
        months=bed_months(today),
        strips=[(one, sowing_drawn(one, today)) for one in found.sowings],
        today=today,
    )
