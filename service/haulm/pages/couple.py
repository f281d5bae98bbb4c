"""A couple's own page by their link: the quote, their answer, their numbers, what comes on their day."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.couples.answer_quote import CoupleSays, Wish, answer_quote, cannot_be_agreed, read_answer
from haulm.jobs.couples.couple_page import couple_page
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, desk_of, whole_number
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.asking import caller_of
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute)

_COUNT = "count-"


@router.get("/your-day/{token}", dependencies=[only_for(Audience.COUPLE)])
def own(request: Request, desk: PageDesk, token: str) -> Response:
    """Their quote as it stands, and the ways to answer."""
    return page(request, "couple.html", found=couple_page(desk, _order(request)), token=token)


@router.post("/your-day/{token}", dependencies=[only_for(Audience.COUPLE)])
def answer(request: Request, token: str, form: TheForm) -> Response:
    """Their answer: kept, thanked for, read by the grower; a yes is tried at once."""
    desk, key = desk_of(request), _order(request)
    says = _says(form)
    cannot = cannot_be_agreed(desk, key, says.wish) if says.wish in (Wish.YES, Wish.YES_SOWN) else ""

    def kept(work: UnitOfWork) -> None:
        answer_quote(desk, work, key, says, cannot)

    carried_out(request, form, kept, is_judged=True)
    return back_to(f"/your-day/{token}", "told")


@router.post("/quotes/{key}/answer-read", dependencies=[only_for(Audience.OWNER)])
def read(request: Request, key: str, form: TheForm) -> Response:
    """The grower has read what they said."""
    carried_out(request, form, lambda work: read_answer(work, key))
    return back_to(f"/quotes/{key}", "saved")


def _says(form: Form) -> CoupleSays:
    word = form.get("word", "")
    if word not in [str(wish) for wish in Wish]:
        raise NotAccepted(where="answer", found=f"'{word[:40]}'", accepted="one of the buttons of the page")
    wish = Wish(word)
    numbers = tuple(
        (name.removeprefix(_COUNT), whole_number("count", value))
        for name, value in form.items()
        if name.startswith(_COUNT) and value
    )
    return CoupleSays(
        wish,
        form.get("note", ""),
        numbers if wish is Wish.NUMBERS else (),
        _day(form) if wish is Wish.OTHER_DAY else None,
    )


def _day(form: Form) -> date | None:
    text = form.get("day", "")
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotAccepted(where="day", found=f"'{text[:20]}'", accepted="a day picked from the calendar") from None


def _order(request: Request) -> str:
    order = caller_of(request).order
    if order is None:
        raise NotFound(kind="order", key="")
    return order
