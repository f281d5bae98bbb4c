"""Somebody's data: all that is kept of one person, to look at, to hand over, and to erase."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse

from haulm.jobs.florists.forget_person import forget_person
from haulm.jobs.journal.see_person import see_person
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import HEADERS, back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/people/{customer}")
def person(request: Request, desk: PageDesk, customer: str, part: PartAsked = 1) -> Response:
    """All that is kept of one person, letters in parts."""
    found = see_person(desk, customer)
    return page(request, "person.html", found=found, letters=part_of(found.letters, part))


@router.get("/people/{customer}/kept.json")
def handed_over(desk: PageDesk, customer: str) -> Response:
    """The same as a file, for whoever asks for what is kept of them."""
    headers = {**HEADERS, "Content-Disposition": 'attachment; filename="kept.json"'}
    return JSONResponse(see_person(desk, customer).as_json(), headers=headers)


@router.get("/people/{customer}/erase")
def ask_to_erase(request: Request, desk: PageDesk, customer: str) -> Response:
    """Asks once whether a person is to be erased, and says what goes and what stays."""
    return page(request, "person_erase.html", found=see_person(desk, customer))


@router.post("/people/{customer}/erase")
def erase(request: Request, customer: str, form: TheForm) -> Response:
    """Erase a person; a second tap does nothing more."""
    carried_out(request, form, lambda work: forget_person(work, customer))
    return back_to(f"/people/{customer}", "person_erased")
