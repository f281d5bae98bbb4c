"""What to take care of, place by place, of all that the farm grows."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.farm.place_words import PLACE_NAMES, Place
from haulm.jobs.farm.see_warnings import see_warnings
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])


@router.get("/care")
def cutting(request: Request, desk: PageDesk) -> Response:
    """What to take care of when cutting; the other places are a tap away."""
    return at_place(request, desk, Place.CUT)


@router.get("/care/{place}")
def at_place(request: Request, desk: PageDesk, place: Place) -> Response:
    """What to take care of at one place."""
    return page(request, "care.html", seen=see_warnings(desk, place), places=PLACE_NAMES)
