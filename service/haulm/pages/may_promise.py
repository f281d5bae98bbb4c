"""May I promise it? Stems of a kind for a day, judged as a contract would be; nothing is written."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.ask_on_the_spot import SpotAnswer, SpotAsked, ask_on_the_spot
from haulm.language.words import _
from haulm.pages.doing import Form, PageDesk, PageRoute
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/may-promise")
def may_promise(request: Request, desk: PageDesk, kind: str = "", day: str = "") -> Response:
    """The form, and where kind and day are named the most stems that would be accepted."""
    typed = {"kind": kind, "day": day}
    answer, refusal = _answered(desk, typed) if kind and day else (None, None)
    kinds = sorted(((row.key, row.name) for row in desk.store.farm().varieties), key=lambda one: one[1].casefold())
    return page(
        request,
        "may_promise.html",
        typed=typed,
        kinds=kinds,
        answer=answer,
        faults={} if refusal is None else {"day": refusal.sentence},
    )


def _answered(desk: Desk, typed: Form) -> tuple[SpotAnswer | None, HaulmError | None]:
    try:
        line = OrderLine("line", "spot", 1, product=Product.parse(typed["kind"], where=_("kind")))
        return ask_on_the_spot(desk, SpotAsked(line, _day(typed["day"]))), None
    except HaulmError as refusal:
        return None, refusal


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotAccepted(where=_("day"), found=f"'{text[:40]}'", accepted=_("a day of the calendar")) from None
