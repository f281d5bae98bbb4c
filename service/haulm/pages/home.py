"""Today: what to decide, what to do, and the next days that matter."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.warning.see_today import beside_the_farm, see_today
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/", dependencies=[kept(also=beside_the_farm)])
def today(request: Request, desk: PageDesk) -> Response:
    """The morning's page."""
    return page(request, "today.html", today=see_today(desk))
