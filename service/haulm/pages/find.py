"""Finding things: a word, and what bears it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from haulm.jobs.gaps.find_anything import find_anything
from haulm.jobs.gaps.standing_gaps import days_written
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/find", dependencies=[kept(days_written)])
def find(request: Request, desk: PageDesk, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """What bears a word: kinds, people, orders, sowings."""
    return page(request, "find.html", asked=q.strip(), found=find_anything(desk, q))
