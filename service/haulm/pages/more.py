"""The rest: where everything else is, what is set, and the address of the calendar."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.warning.list_calendar import make_calendar_link, new_token, revoke_calendar_link
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/more")
def more(request: Request, desk: PageDesk) -> Response:
    """Links to papers, the calendar, florists' links and the log of mail; and what is set, without secrets."""
    what_is_set = getattr(request.app.state, "what_is_set", ())
    site = desk.store.farm().site
    return page(request, "more.html", site=site, levels=levels_in_words(site), what_is_set=what_is_set)


@router.post("/calendar")
def make(request: Request) -> Response:
    """A new address of the calendar, shown this once; the one before is worth nothing from now on."""
    token = new_token()
    # Without the form's own key: a second tap could be shown no address that opens, since none is kept.
    carried_out(request, {}, lambda work: make_calendar_link(work, token))
    site = str(request.base_url).rstrip("/")
    return page(request, "calendar.html", address=f"{site}/v1/calendar.ics?token={token}")


@router.post("/calendar/end")
def end(request: Request, form: TheForm) -> Response:
    """Make the address of the calendar worth nothing."""
    carried_out(request, form, revoke_calendar_link)
    return back_to("/more", "ended")
