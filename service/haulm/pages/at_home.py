"""What is at home or ordered: every tick with the day it holds until, one more, and taking one back."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.farm.words import Needed
from haulm.jobs.farm.tick_at_home import TickAsked, tick_at_home, ticks_kept, what_and_state
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_HERE = "/at-home"


@router.get(_HERE)
def at_home(request: Request, desk: PageDesk) -> Response:
    """Every tick as it stands, and the form for one more."""
    kinds = sorted((row.name, row.key) for row in desk.store.farm().varieties)
    return page(request, "at_home.html", ticks=ticks_kept(desk), kinds=kinds, needed=tuple(Needed))


@router.post(_HERE)
def tick(request: Request, form: TheForm) -> Response:
    """Tick something, or take a tick back."""
    return _ticked(request, form, _HERE)


@router.post("/short/{gap}/at-home")
def tick_for_gap(request: Request, gap: str, form: TheForm) -> Response:
    """Tick what a way to close a gap needs, and go back to the gap."""
    return _ticked(request, form, f"/short/{gap}")


def _ticked(request: Request, form: Form, back: str) -> Response:
    desk = desk_of(request)
    asked = TickAsked(form.get("variety", ""), *what_and_state(form.get("what", ""), form.get("state", "")))

    def ticked(work: UnitOfWork) -> None:
        tick_at_home(desk, work, asked)

    carried_out(request, form, ticked)
    return back_to(back, "unticked" if asked.state is None else "ticked")
