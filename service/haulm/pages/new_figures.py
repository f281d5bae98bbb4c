"""What new figures of a release took from promises: one list, and a button once it was looked at."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.promises.new_figures import look_at_new_figures, see_new_figures
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/new-figures")
def new_figures(request: Request, desk: PageDesk) -> Response:
    """The promises that are less sure since the figures are new."""
    return page(request, "new_figures.html", found=see_new_figures(desk))


@router.post("/new-figures")
def looked_at(request: Request, form: TheForm) -> Response:
    """Say that it was looked at: the line on Today goes."""
    desk = desk_of(request)
    carried_out(request, form, lambda work: look_at_new_figures(desk, work))
    return back_to("/new-figures", "looked_at")
