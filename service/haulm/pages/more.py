"""The rest: where everything else is."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/more")
def more(request: Request, desk: PageDesk) -> Response:
    """Links to papers, the calendar, florists' links and the log of mail."""
    return page(request, "more.html", site=desk.store.farm().site, today=desk.today())
