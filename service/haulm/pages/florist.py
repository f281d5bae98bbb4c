"""A florist's own page by her link, and the grower's pages of answers and links."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.errors import NotAccepted, NotFound
from haulm.farm.place_words import Place
from haulm.farm.warnings import handling_notes, kinds_among, only_dried, warnings_at
from haulm.farm.weeks import Week
from haulm.farm.words import CustomerKind, OrderKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import Seen, check_seen
from haulm.jobs.florists.florist_links import end_links, link_numbers
from haulm.jobs.florists.florist_page import first_open_week, florist_page, see_told_week
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.reply_seen import COST, OUTCOME, look_at_reply, replies_shown
from haulm.jobs.florists.reply_to_list import (
    OF_DELIVERY,
    AskKind,
    FloristAsk,
    answers_to_deliveries,
    ask_in_words,
    reply_to_list,
)
from haulm.jobs.florists.send_availability import lists_to_send, queue_lists
from haulm.pages.doing import (
    FIRST_SIGHT,
    Form,
    NotDone,
    PageDesk,
    PageRoute,
    TheForm,
    carried_out,
    desk_of,
    done_as_seen,
    reason_of,
    whole_number,
)
from haulm.pages.look import back_to, page
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.asking import caller_of
from haulm.web.audience import Audience, only_for
from haulm.web.links import Holder, Links

router = APIRouter(include_in_schema=False, route_class=PageRoute)

_MORE, _LINE, _BUNCHES = "more-", "line-", "bunches-"


@router.get("/f/{token}", dependencies=[only_for(Audience.FLORIST)])
def own(request: Request, desk: PageDesk, token: str, week: str | None = None) -> Response:
    """What comes this week, what she has ordered, what there is for the first open week, and the ways to answer."""
    customer = _customer(request)
    found = florist_page(desk, customer, first_open_week(desk) if week is None else Week.parse(week))
    farm = desk.store.farm()
    answers = [[ask_in_words(ask, farm) for ask in answer["asks"]] for answer in found.answers]
    deliveries = see_told_week(desk, customer)
    products = [one.product for one in found.offered] if found.orders_herself else []
    products += [product for one in deliveries for line in one.lines for product in line.products]
    kinds = kinds_among(products, crops_of(farm))
    return page(
        request,
        "florist.html",
        found=found,
        token=token,
        answers=answers,
        deliveries=deliveries,
        told=answers_to_deliveries(desk, customer),
        warned=warnings_at(Place.CONDITIONING, kinds, only_dried(products)),
        handling=handling_notes(kinds),
    )


@router.post("/f/{token}", dependencies=[only_for(Audience.FLORIST)])
def answer(request: Request, token: str, form: TheForm) -> Response:
    """Her answer: kept, thanked for, and judged by the grower."""
    desk, customer = desk_of(request), _customer(request)
    asks = [_of_delivery(desk, customer, form)] if form.get("delivery") else _asks(form)
    week = Week.parse(form["week"]) if form.get("week") else None
    note = form.get("note", "")
    carried_out(
        request,
        form,
        lambda work: {"in_time": reply_to_list(desk, work, customer, asks, note, week)},
        is_judged=True,
    )
    return back_to(f"/f/{token}", "told")


@router.get("/replies", dependencies=[only_for(Audience.OWNER)])
def replies(request: Request, desk: PageDesk) -> Response:
    """The answers that wait."""
    return _replies(request, desk, FIRST_SIGHT)


@router.post("/replies/{reply}", dependencies=[only_for(Audience.OWNER)])
def judge(request: Request, reply: int, form: TheForm) -> Response:
    """Accept, trim or decline one."""
    desk, accept = desk_of(request), form.get("word") == "accept"
    bunches = {
        int(name.removeprefix(_BUNCHES)): whole_number("bunches", value)
        for name, value in form.items()
        if name.startswith(_BUNCHES) and value and name.removeprefix(_BUNCHES).isdigit()
    }
    word = Word(reply, accept, bunches, form.get("note", ""), override=reason_of(form))

    def judged(work: UnitOfWork, seen: Seen) -> dict[str, list[str]]:
        check_seen(work, seen, look_at_reply(desk, reply))
        return {"outcomes": list(judge_reply(desk, work, word))}

    def drawn_anew(why: NotDone) -> Response:
        return _replies(request, desk, why, reply)

    pages = (drawn_anew, lambda: back_to("/replies", "accepted" if accept else "declined"))
    return done_as_seen(request, form, judged, pages)


@router.post("/replies", dependencies=[only_for(Audience.OWNER)])
def send(request: Request, form: TheForm) -> Response:
    """Queue the week's list to the florists."""
    pages = lists_to_send(desk_of(request))
    carried_out(request, form, lambda work: {"queued": queue_lists(work, pages)})
    return back_to("/mails", "saved")


@router.get("/links", dependencies=[only_for(Audience.OWNER)])
def links(request: Request, desk: PageDesk) -> Response:
    """Every florist's link and every couple's as it stands, to be given by hand where there is no mail."""
    made: Links = request.app.state.links
    farm, numbers = desk.store.farm(), link_numbers(desk)
    found = [
        (customer, made.florist_path(Holder(customer.key, numbers.get(customer.key, 0))))
        for customer in farm.customers
        if customer.kind is not CustomerKind.WEDDING
    ]
    couples = [
        (order, made.couple_path(order.key, numbers.get(order.customer, 0)))
        for order in sorted(farm.orders, key=lambda one: (one.due_date, one.key))
        if order.kind is OrderKind.WEDDING and order.due_date >= desk.today()
    ]
    return page(request, "links.html", links=found, couples=couples, site=str(request.base_url).rstrip("/"))


@router.post("/links/{customer}/end", dependencies=[only_for(Audience.OWNER)])
def end(request: Request, customer: str, form: TheForm) -> Response:
    """End a florist's links."""
    carried_out(request, form, lambda work: end_links(work, customer))
    return back_to("/links", "changed")


def _replies(request: Request, desk: Desk, why: NotDone, which: int | None = None) -> Response:
    """The answers that wait, and above them why nothing was done about one of them, where something was to be."""
    farm = desk.store.farm()
    names = {customer.key: customer.name for customer in farm.customers}
    found = [
        (reply, [ask_in_words(ask, farm) for ask in reply.asks], shown, why.typed if reply.number == which else {})
        for reply, shown in replies_shown(desk)
    ]
    return page(
        request, "replies.html", status=why.status, replies=found, names=names, why=why, rests_on=(COST, OUTCOME)
    )


def _asks(form: Form) -> list[FloristAsk]:
    """What the form asks: a button for yes, skip or pause; or fields for more and for other numbers."""
    word = form.get("word", "")
    if word in (AskKind.YES, AskKind.SKIP):
        return [FloristAsk(AskKind(word))]
    if word == AskKind.PAUSE:
        return [FloristAsk(AskKind.PAUSE, until=Week.parse(form.get("until", ""), where="until"))]
    more = [
        FloristAsk(AskKind.MORE, product=name.removeprefix(_MORE), bunches=whole_number("bunches", value))
        for name, value in form.items()
        if name.startswith(_MORE) and value not in ("", "0")
    ]
    changes = [
        FloristAsk(AskKind.CHANGE, line=name.removeprefix(_LINE), stems=whole_number("stems", value))
        for name, value in form.items()
        if name.startswith(_LINE) and value and value != form.get(f"was-{name.removeprefix(_LINE)}")
    ]
    if not more and not changes and form.get("note"):
        return [FloristAsk(AskKind.YES)]
    return [*more, *changes]


def _of_delivery(desk: Desk, customer: str, form: Form) -> FloristAsk:
    """Her answer to a delivery that is expected; the form names it by one of its lines and the day.

    Raises:
        NotFound: there is none of hers with such a line on such a day.
    """
    line, _, due = form["delivery"].rpartition("@")
    for one in see_told_week(desk, customer):
        if one.due.isoformat() == due and any(own.line == line for own in one.lines):
            word = form.get("word", "")
            if word not in OF_DELIVERY:
                raise NotAccepted(where="answer", found=f"'{word[:40]}'", accepted=", ".join(OF_DELIVERY))
            return FloristAsk(AskKind(word), order=one.order, due=one.due)
    raise NotFound(kind="delivery of yours that is expected this week", key=form["delivery"][:60])


def _customer(request: Request) -> str:
    customer = caller_of(request).customer
    if customer is None:
        raise NotFound(kind="customer", key="")
    return customer
