"""What was promised, against what came; and the farm's own figures."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.honesty_board import honesty_board
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/honesty")
def honesty(request: Request, desk: PageDesk) -> Response:
    """The honesty board."""
    return page(request, "honesty.html", board=honesty_board(desk))
