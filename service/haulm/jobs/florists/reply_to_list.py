"""A florist's answer: kept as it was given, told apart when it is late, and never written over an order by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from haulm.advice.asked_words import named
from haulm.errors import NotAccepted, NotFound
from haulm.farm.orders import StandingOrder
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, day_in_words, last_of, next_of
from haulm.farm.words import StandingStatus
from haulm.jobs.bucket_day.bucket_lines import DeliveryKey
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_page import REPLIED, customer_named, day_to_answer, local_now, order_by_of
from haulm.language.words import _, one_or_more
from haulm.planning.plan import Plan
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

MOST_ASKS, MOST_BUNCHES, MOST_NOTE, MOST_A_DAY = 200, 10_000, 500, 40
JUDGED = "reply-judged"


class AskKind(StrEnum):
    """What a florist may ask."""

    YES = "yes"
    MORE = "more"
    CHANGE = "change"
    SKIP = "skip"
    PAUSE = "pause"
    WAIT = "wait"
    SOMETHING_ELSE = "something_else"
    RELEASE = "release"


OF_DELIVERY = (AskKind.WAIT, AskKind.SOMETHING_ELSE, AskKind.RELEASE)
"""What is answered to a delivery that is expected: the last answer to it stands, and comes alone."""
_NEEDS_NOTHING = (AskKind.YES, AskKind.WAIT)


@dataclass(frozen=True, slots=True)
class FloristAsk:
    """One thing asked.

    Attributes:
        kind: yes to the standing order, more of a product, another number for a line, to skip the week, or to pause; of
            a delivery that is expected: to wait, to have something else, or to be released from it.
        product: of which more is asked.
        bunches: how many more.
        line: of which another number is asked.
        stems: that number.
        until: the last week of a pause.
        order, due: the delivery that is answered to.
    """

    kind: AskKind
    product: str | None = None
    bunches: int | None = None
    line: str | None = None
    stems: int | None = None
    until: Week | None = None
    order: str | None = None
    due: date | None = None


def reply_to_list(
    desk: Desk,
    work: UnitOfWork,
    customer: str,
    asks: Sequence[FloristAsk],
    note: str = "",
    week: Week | None = None,
) -> bool:
    """Keep a florist's answer for the bucket day of a week, the coming one unless said; gives whether it came in time.

    Raises:
        NotFound: there is no such customer, line, product or delivery.
        NotAccepted: nothing is asked, too much, something that cannot be, or of a week that is none of hers.
    """
    plan = desk.plan_of(work.farm)
    customer_named(plan, customer)
    if not 1 <= len(asks) <= MOST_ASKS:
        raise NotAccepted(
            where="asks", found=str(len(asks)), accepted=_("1 to {most_asks}").format(most_asks=MOST_ASKS)
        )
    if len(note) > MOST_NOTE:
        raise NotAccepted(
            where="note",
            found=_("{note} letters").format(note=len(note)),
            accepted=_("at most {most_note}").format(most_note=MOST_NOTE),
        )
    _check_pace(work, customer)
    site = work.farm.site
    if any(ask.kind in OF_DELIVERY for ask in asks):
        day, late = _delivery_answered(desk, plan, customer, asks), False
    else:
        day = day_to_answer(desk, week)
        late = local_now(desk, site) > order_by_of(site, day)
        own = _own_lines(work.farm, customer, day)
        for ask in asks:
            _check(work, ask, own, Week.of(day))
    facts = {"week": str(Week.of(day)), "day": day.isoformat(), "late": late, "note": note.strip()}
    work.enter(REPLIED, f"customers/{customer}", {**facts, "asks": [_facts(ask) for ask in asks]})
    return not late


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer of a florist that nobody has judged yet."""

    number: int
    customer: str
    week: Week
    day: date
    is_late: bool
    asks: tuple[Mapping[str, Any], ...]
    note: str


def open_replies(desk: Desk) -> tuple[Reply, ...]:
    """The answers that wait to be judged, oldest first; a plain yes and a plain wait need nothing.

    Of the answers to one delivery the last stands: those before it wait for nothing any more.
    """
    entries = desk.store.entries_of(REPLIED)
    judged, stands = {entry.facts["reply"] for entry in desk.store.entries_of(JUDGED)}, standing_answers(entries)
    replies = (
        Reply(
            entry.seq,
            entry.subject.partition("/")[2],
            Week.parse(entry.facts["week"]),
            date.fromisoformat(entry.facts["day"]),
            bool(entry.facts["late"]),
            tuple(entry.facts["asks"]),
            str(entry.facts["note"]),
        )
        for entry in entries
        if entry.seq not in judged and entry.seq in stands
    )
    return tuple(
        reply for reply in replies if reply.note or any(ask["kind"] not in _NEEDS_NOTHING for ask in reply.asks)
    )


def standing_answers(entries: Iterable[Entry]) -> frozenset[int]:
    """The numbers of the answers that no later one replaced: of those to one delivery the last."""
    last: dict[object, int] = {}
    for entry in entries:
        (first, *_) = entry.facts["asks"]
        key = (entry.subject, first["order"], first["due"]) if first["kind"] in OF_DELIVERY else entry.seq
        last[key] = entry.seq
    return frozenset(last.values())


def answers_to_deliveries(desk: Desk, customer: str) -> dict[DeliveryKey, tuple[str, str]]:
    """What a customer last answered to each delivery, and the note with it."""
    found: dict[DeliveryKey, tuple[str, str]] = {}
    for entry in desk.store.entries_of(REPLIED, about=f"customers/{customer}"):
        (first, *_) = entry.facts["asks"]
        if first["kind"] in OF_DELIVERY:
            key = (str(first["order"]), date.fromisoformat(first["due"]))
            found[key] = (delivery_answer_in_words(first["kind"]), str(entry.facts["note"]))
    return found


def delivery_answer_in_words(kind: str) -> str:
    """An answer to a delivery that is expected, in words."""
    match AskKind(kind):
        case AskKind.SOMETHING_ELSE:
            return _("something else instead of what is missing")
        case AskKind.RELEASE:
            return _("release me from it")
        case _:
            return _("I wait")


def ask_in_words(ask: Mapping[str, Any], farm: Farm) -> str:
    """One thing asked, as a sentence."""
    kinds = {variety.key: variety.name for variety in farm.varieties}
    match AskKind(ask["kind"]):
        case AskKind.YES:
            return _("yes to the standing order")
        case AskKind.MORE:
            bunches = ask["bunches"]
            return one_or_more("{bunches} bunch more of {kind}", "{bunches} bunches more of {kind}", bunches).format(
                bunches=bunches, kind=named(ask["product"], kinds)
            )
        case AskKind.CHANGE:
            line = next((found for found in farm.standing_lines if found.key == ask["line"]), None)
            asked = (line.product or line.choice) if line is not None else None
            return _("{stems} stems of {kind} this week").format(
                stems=ask["stems"], kind=named(asked, kinds) if asked else ask["line"]
            )
        case AskKind.SKIP:
            return _("nothing this week")
        case AskKind.PAUSE:
            return _("a pause until the end of week {number}").format(number=Week.parse(ask["until"]).number)
        case AskKind.WAIT | AskKind.SOMETHING_ELSE | AskKind.RELEASE:
            return _("of {day}: {answer}").format(
                day=day_in_words(date.fromisoformat(ask["due"])),
                answer=delivery_answer_in_words(ask["kind"]),
            )


def orders_of_day(farm: Farm, customer: str, day: date) -> tuple[tuple[StandingOrder, Week], ...]:
    """The standing orders whose stems leave on a bucket day or in the six days after it, each with the week of it."""
    return tuple((order, week) for order, week in _orders(farm, customer, day) if _runs(order, week))


def _orders(farm: Farm, customer: str, day: date) -> list[tuple[StandingOrder, Week]]:
    return [
        (order, Week.of(next_of(day, (order.weekday,))))
        for order in farm.standing_orders
        if order.customer == customer and order.status is StandingStatus.ACTIVE
    ]


def _runs(order: StandingOrder, week: Week) -> bool:
    since = (week.monday - order.first_week.monday).days // 7
    return order.first_week <= week <= order.last_week and since % order.every == 0


def _own_lines(farm: Farm, customer: str, day: date) -> frozenset[str]:
    orders = {order.key for order, _ in orders_of_day(farm, customer, day)}
    return frozenset(line.key for line in farm.standing_lines if line.order in orders)


def _delivery_answered(desk: Desk, plan: Plan, customer: str, asks: Sequence[FloristAsk]) -> date:
    """The bucket day of the delivery that is answered to.

    Raises:
        NotFound: none of hers on that day is expected on this week's list.
        NotAccepted: other things are asked with it.
    """
    if len(asks) > 1:
        raise NotAccepted(where="asks", found=str(len(asks)), accepted=_("an answer to one delivery, alone"))
    ask, this = asks[0], last_of(desk.today(), (plan.farm.site.bucket_day,))
    due = ask.due
    is_hers = due is not None and any(
        (line.customer, line.order, line.due) == (customer, ask.order, due) for line in plan.result.lines
    )
    if due is None or not is_hers or not this <= due < this + timedelta(days=7):
        raise NotFound(kind=_("delivery of yours that is expected this week"), key=f"{ask.order} on {due}")
    return this


def _check(work: UnitOfWork, ask: FloristAsk, own: frozenset[str], week: Week) -> None:
    match ask.kind:
        case AskKind.MORE:
            product = Product.parse(ask.product or "")
            if all(found.key != product.variety for found in work.farm.varieties):
                raise NotFound(kind=_("product"), key=str(product))
            _check_number("bunches", ask.bunches, least=1)
        case AskKind.CHANGE:
            if ask.line not in own:
                raise NotFound(kind=_("line of your standing order"), key=ask.line or "")
            _check_number("stems", ask.stems, least=0)
        case AskKind.PAUSE:
            if ask.until is None or ask.until < week or ask.until > week.plus(52):
                accepted = _("a week from {week} to {last}").format(week=week, last=week.plus(52))
                raise NotAccepted(where="until", found=str(ask.until), accepted=accepted)
        case _:
            pass


def _check_pace(work: UnitOfWork, customer: str) -> None:
    since = work.now - timedelta(days=1)
    lately = sum(entry.at_utc > since for entry in work.entries_of(REPLIED, about=f"customers/{customer}"))
    if lately >= MOST_A_DAY:
        raise NotAccepted(where="answers of a day", found=str(lately + 1), accepted=_("a call: please ring us"))


def _check_number(where: str, found: int | None, *, least: int) -> None:
    if found is None or not least <= found <= MOST_BUNCHES:
        raise NotAccepted(
            where=where,
            found=str(found),
            accepted=_("{least} to {most_bunches}").format(least=least, most_bunches=MOST_BUNCHES),
        )


def _facts(ask: FloristAsk) -> dict[str, Any]:
    values = {
        "product": ask.product,
        "bunches": ask.bunches,
        "line": ask.line,
        "stems": ask.stems,
        "until": None if ask.until is None else str(ask.until),
        "order": ask.order,
        "due": None if ask.due is None else ask.due.isoformat(),
    }
    return {"kind": str(ask.kind), **{name: value for name, value in values.items() if value is not None}}
