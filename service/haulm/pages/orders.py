"""Who is promised what, how sure that is, and why a line lacks stems."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from enum import StrEnum

from fastapi import APIRouter, Request, Response

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.farm.words import LineClass
from haulm.jobs.desk.asked_caution import caution_of
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.faces_words import causes_in_words
from haulm.jobs.growing.doubt_words import explained_in_words
from haulm.jobs.promises.explain_line import explain_line
from haulm.jobs.promises.show_match import show_match
from haulm.jobs.promises.show_outlook import list_orders
from haulm.language.words import marked
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.drawing import pails
from haulm.pages.look import page
from haulm.pages.parts import PartAsked, part_of
from haulm.pages.rows.listing import terms_of
from haulm.planning.outlooks import Delivery
from haulm.planning.why_unsure import faces_of
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


class Show(StrEnum):
    """Which orders are listed."""

    SOON = "soon"
    UNSURE = "unsure"
    DATED = "dated"
    ALL = "all"


_SHOWS = (
    (Show.SOON, marked("In four weeks")),
    (Show.UNSURE, marked("Not sure")),
    (Show.DATED, marked("Weddings and dated")),
    (Show.ALL, marked("All")),
)
_SOON = timedelta(weeks=4)


@router.get("/orders", dependencies=[kept()])
def orders(
    request: Request, desk: PageDesk, sure: float | None = None, show: Show = Show.SOON, part: PartAsked = 1
) -> Response:
    """Orders by the day they are due, with how sure each is as a whole; without a word, those of the next weeks."""
    found = list_orders(desk, sure)
    today = desk.today()
    lists: dict[Show, Callable[[Delivery], bool]] = {
        Show.SOON: lambda one: today <= one.due <= today + _SOON,
        Show.UNSURE: lambda one: not one.is_sure,
        Show.DATED: lambda one: one.line_class is not LineClass.STANDING,
        Show.ALL: lambda one: True,
    }
    shown = [one for one in found if lists[show](one)]
    return page(
        request,
        "orders.html",
        orders=found,
        shown=part_of(shown, part),
        show=show,
        shows=_SHOWS,
        levels=levels_in_words(desk.store.farm().site, sure),
    )


@router.get("/orders/{key}/{due}", dependencies=[kept()])
def order(request: Request, desk: PageDesk, key: str, due: date) -> Response:
    """The lines of one order on one day."""
    lines = [found for found in show_match(desk, due, due) if found.line.order == key]
    plan = desk.plan()
    return page(
        request,
        "order.html",
        key=key,
        due=due,
        terms=terms_of(desk.store.farm(), key),
        lines=lines,
        names=_names(desk),
        crops=plan.crops,
        words={found.line: asked_in_words(asked_of(found.line), plan.crops) for found in lines},
        cautions={found.line: caution_of(plan, asked_of(found.line)) for found in lines},
        tens={found.line: pails(faces_of(plan, (found.line,))) for found in lines},
        together=pails(faces_of(plan, [found.line for found in lines])) if lines else None,
    )


@router.get("/orders/{key}/{due}/{line}", dependencies=[kept()])
def why(request: Request, desk: PageDesk, key: str, due: date, line: str) -> Response:
    """How a line fares over the seasons, why it is no surer, and in one season the stems that count, and whose."""
    found = explain_line(desk, line, due)
    doubt = explained_in_words(found.doubt)
    return page(
        request,
        "why.html",
        key=key,
        found=found,
        names=_names(desk),
        crops=desk.plan().crops,
        doubt=doubt,
        drawn=pails(found.unsure.faces),
        causes=causes_in_words(found.unsure.causes),
    )


def _names(desk: PageDesk) -> dict[str, str]:
    return {customer.key: customer.name for customer in desk.store.farm().customers}
