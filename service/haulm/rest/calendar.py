"""GET /v1/calendar.ics, and the link that opens it."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response
from icalendar import Calendar, Event

from haulm.jobs.warning.list_calendar import list_calendar, make_calendar_link, new_token, revoke_calendar_link
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.links import Links

router = APIRouter(tags=["calendar"])


class LinkShape(Shape):
    """The path of the calendar with its token; it is shown once."""

    path: str


class _MadeUnder(Shape):
    """Of a link that was made, what its token comes of; it is never sent."""

    nonce: str


class RevokedShape(Shape):
    """Whether any link is valid."""

    valid: bool


@router.get("/v1/calendar.ics", response_class=Response, dependencies=[only_for(Audience.ANYBODY)])
def calendar(desk: TheDesk, token: Annotated[str, Query(min_length=1, max_length=200)]) -> Response:
    """The farm's days as an RFC 5545 calendar.

    Sowing, potting on, hardening off, planting out, the days in which a batch should be cut, deliveries, days to
    decide, final numbers, ends of holds. Whoever has the link can read it, so it holds no personal data. All-day
    events; a change moves the event, whose UID stays and whose SEQUENCE rises.
    """
    feed = Calendar()
    feed.add("prodid", "-//Haulm//farm days//EN")
    feed.add("version", "2.0")
    feed.add("method", "PUBLISH")
    feed.add("x-wr-calname", "Farm days")
    stamp = desk.now()
    listed = list_calendar(desk, token)
    for found in listed.days:
        event = Event()
        event.add("uid", f"{found.uid}@haulm")
        event.add("dtstamp", stamp)
        event.add("dtstart", found.day)
        # The end of a span of whole days is the day after it.
        event.add("dtend", found.end + timedelta(days=1))
        event.add("sequence", listed.version)
        event.add("transp", "TRANSPARENT")
        event.add("summary", found.summary)
        feed.add_component(event)
    return Response(feed.to_ical(), media_type="text/calendar; charset=utf-8")


@router.post("/v1/calendar-link", status_code=201, response_model=LinkShape, dependencies=[only_for(Audience.OWNER)])
def make_link(request: Request, call: TheCall) -> JSONResponse:
    """Make a new link to the calendar; the one before stops working."""
    links: Links = request.app.state.links

    def made(work: UnitOfWork) -> _MadeUnder:
        nonce = new_token()
        make_calendar_link(work, links.calendar_token(nonce))
        return _MadeUnder(nonce=nonce)

    # What is kept for the same key is the nonce: the token that comes of it opens the calendar, and is kept nowhere.
    found = call.given(made, status=201)
    token = links.calendar_token(str(found.body["nonce"]))
    return JSONResponse({"path": f"/v1/calendar.ics?token={token}"}, status_code=found.status)


@router.delete("/v1/calendar-link", response_model=RevokedShape, dependencies=[only_for(Audience.OWNER)])
def revoke_link(call: TheCall) -> JSONResponse:
    """Make the link to the calendar stop working."""

    def revoked(work: UnitOfWork) -> RevokedShape:
        revoke_calendar_link(work)
        return RevokedShape(valid=False)

    return call.answer(revoked)
