"""One plan for all that is short: asked for, worked out in the background, looked at."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.plan_season import ask_season_plan
from haulm.jobs.gaps.see_season_plan import see_season_plan
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import HEADERS, page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_PATH = "/combined-plan"


@router.get(_PATH)
def combined_plan(request: Request, desk: PageDesk) -> Response:
    """The plan as it was last worked out, and how far it is where it is being worked out."""
    levels = levels_in_words(desk.store.farm().site)
    return page(request, "combined_plan.html", found=see_season_plan(desk), levels=levels)


@router.post(_PATH)
def ask(desk: PageDesk) -> Response:
    """Have it worked out for the farm as it is now; a second tap is the same job."""
    ask_season_plan(desk)
    return RedirectResponse(_PATH, status_code=303, headers=HEADERS)
