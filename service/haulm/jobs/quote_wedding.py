"""Quote: from pieces or lines to dated stems, how sure each is, what they cost; nothing is held yet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from haulm.advice.pieces import SPARE_PERCENT, PieceAsked, RoleAsked, spare_for, stems_by_role
from haulm.advice.pricing import PriceList, answering, whole_minor, with_tax
from haulm.crop_library.recipes import recipes_for
from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import with_rows
from haulm.farm.orders import Customer, Order, OrderLine, StandingLine
from haulm.farm.products import Choice
from haulm.farm.snapshot import Farm
from haulm.farm.words import CustomerKind, OrderKind, OrderStatus
from haulm.jobs.desk import Desk
from haulm.jobs.refusals import DatePassed
from haulm.jobs.served_days import check_day_served
from haulm.jobs.sound_rows import require_sound
from haulm.planning.plan import Plan
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

ENQUIRY = Customer("enquiry", "Enquiry", CustomerKind.WEDDING)
"""Who asks where nobody is named."""
MOST_STEMS = 1_000_000
"""A line asks no more."""


@dataclass(frozen=True, slots=True)
class QuoteAsked:
    """What is asked for.

    Attributes:
        event_date: the day of the wedding or event (for other kinds, the day the stems leave).
        pieces: things to be made, turned into stems by the farm's recipes.
        lines: lines asked as they are; their keys and order are given here.
        customer: key of a customer, or None for an enquiry.
        kind: what the order is for.
        due_date: the day stems leave; None takes the farm's days ahead of the event.
        confidence: the level asked; None takes the farm's own.
        spare_percent: spare for breakage on pieces.
    """

    event_date: date
    pieces: tuple[PieceAsked, ...] = ()
    lines: tuple[OrderLine, ...] = ()
    customer: str | None = None
    kind: OrderKind = OrderKind.WEDDING
    due_date: date | None = None
    confidence: float | None = None
    spare_percent: float = SPARE_PERCENT


@dataclass(frozen=True, slots=True)
class QuotedLine:
    """One line of a quote: free_to_promise is what a new line could be given with nobody losing a stem."""

    line: OrderLine
    pieces: tuple[str, ...]
    free_to_promise: int
    confidence: float
    price_minor: int


@dataclass(frozen=True, slots=True)
class Quote:
    """A quote as it was made; `order_confidence` is that of all lines in the same season."""

    order: Order
    lines: tuple[QuotedLine, ...]
    level: float
    order_confidence: float
    delivery_minor: int
    total_minor: int
    cautions: tuple[str, ...]


def quote_wedding(desk: Desk, work: UnitOfWork, asked: QuoteAsked) -> Quote:
    """Write a quote and say how sure it is, were it held today.

    Raises:
        DatePassed, DayNotServed, NotAccepted, NotFound: the ask cannot be answered; nothing is written.
    """
    farm, today = work.farm, desk.today()
    order = _order(farm, asked, today, free_quote_key(farm, work.next_seq))
    lines, pieces = _lines(farm, asked, order.key)
    _check_lines(lines)
    rows: list[Customer | Order | OrderLine] = [*new_customer(farm, order), order, *lines]
    require_sound(farm, rows)
    plan = desk.plan_of(farm)
    for line in lines:
        check_day_served(farm.site, plan.crops, line, order.due_date)
    quote = _quote(desk, plan, order, lines, pieces, asked)
    seq = work.enter("quoted", f"orders/{order.key}", _entry(quote))
    for row in rows:
        work.put(row, entry=seq)
    for line in lines:
        asked_for = Promise(line.key, order.due_date, order.key, PromiseState.ASKED, line.stems, quote.level)
        work.promise(asked_for, entry=seq)
    return quote


def _order(farm: Farm, asked: QuoteAsked, today: date, key: str) -> Order:
    ahead = farm.site.wedding_days_ahead if asked.kind is OrderKind.WEDDING else 0
    due = asked.due_date or asked.event_date - timedelta(days=ahead)
    if due < today:
        raise DatePassed(what="Day the stems leave", found=due, today=today)
    if due > asked.event_date:
        raise NotAccepted(where="due", found=str(due), accepted=f"a day up to the event on {asked.event_date}")
    if asked.customer is not None and all(customer.key != asked.customer for customer in farm.customers):
        raise NotFound(kind="customer", key=asked.customer)
    customer = asked.customer or ENQUIRY.key
    return Order(key, customer, asked.kind, due, event_date=asked.event_date, status=OrderStatus.QUOTED)


def free_quote_key(farm: Farm, number: int) -> str:
    """A key for the order that neither an order has nor any line begins with."""
    lines: tuple[OrderLine | StandingLine, ...] = (*farm.order_lines, *farm.standing_lines)
    taken = {order.key for order in farm.orders} | {line.key.rpartition("-")[0] for line in lines}
    while _key(number) in taken:
        number += 1
    return _key(number)


def _key(number: int) -> str:
    """Keys rank by code point, so that of two quotes held on one day the earlier one stays the earlier one."""
    return f"q{number:04d}"


def _lines(farm: Farm, asked: QuoteAsked, order: str) -> tuple[tuple[OrderLine, ...], tuple[tuple[str, ...], ...]]:
    if bool(asked.pieces) == bool(asked.lines):
        raise NotAccepted(
            where="quote",
            found="pieces and lines" if asked.lines else "neither pieces nor lines",
            accepted="either pieces or lines",
        )
    if asked.lines:
        lines = tuple(replace(line, key=f"{order}-{n}", order=order) for n, line in enumerate(asked.lines, 1))
        return lines, ((),) * len(lines)
    roles = stems_by_role(asked.pieces, recipes_for(farm.recipes))
    lines = tuple(
        OrderLine(
            f"{order}-{n}",
            order,
            role.stems,
            choice=_choice(role),
            spare=spare_for(role.stems, asked.spare_percent),
        )
        for n, role in enumerate(roles, 1)
    )
    return lines, tuple(role.pieces for role in roles)


def _choice(asked: RoleAsked) -> Choice:
    """The choice of a role and colours, as a folder can hold it.

    Raises:
        NotAccepted: a colour is no single word, or is named twice.
    """
    return Choice.parse(str(Choice((asked.role,), asked.colours)), where="colours")


def _check_lines(lines: Sequence[OrderLine]) -> None:
    for place, line in enumerate(lines):
        if line.stems > MOST_STEMS:
            accepted = f"1 to {MOST_STEMS} stems"
            raise NotAccepted(where=f"lines[{place}].stems", found=str(line.stems), accepted=accepted)


def _quote(
    desk: Desk,
    plan: Plan,
    order: Order,
    lines: Sequence[OrderLine],
    pieces: Sequence[tuple[str, ...]],
    asked: QuoteAsked,
) -> Quote:
    site = plan.farm.site
    level = asked.confidence if asked.confidence is not None else site.default_confidence
    held = replace(order, status=OrderStatus.ON_HOLD, hold_until=plan.today, committed_on=plan.today)
    trial = desk.planner.trial(plan, with_rows(plan.farm, [*new_customer(plan.farm, order), held, *lines]))
    confidences = {outlook.line.line: outlook.confidence for outlook in trial.outlooks}
    free = plan.free_for_lines(trial.lines_of(order.key), level)
    prices = PriceList(plan.farm.prices, plan.crops, site.prices)
    quoted = tuple(
        QuotedLine(line, of, free[line.key], confidences[line.key], _price(prices, order, line))
        for line, of in zip(lines, pieces, strict=True)
    )
    delivery = site.prices.delivery_minor
    total = with_tax(sum(line.price_minor for line in quoted) + delivery, site.prices)
    cautions = tuple(sorted(cautions_of(plan, lines)))
    return Quote(order, quoted, level, trial.joint(order.key), delivery, total, cautions)


def new_customer(farm: Farm, order: Order) -> Iterable[Customer]:
    """The customer of enquiries, where the farm does not have the one that an order is for."""
    return [] if any(customer.key == order.customer for customer in farm.customers) else [ENQUIRY]


def _price(prices: PriceList, order: Order, line: OrderLine) -> int:
    """The price of the stems and their spare, rounded once [minor units]."""
    if line.agreed_price_minor is not None:
        return line.agreed_price_minor
    length = line.min_length_cm
    if line.product is not None:
        stem = prices.stem_price(line.product, customer=order.customer, length_cm=length)
    else:
        assert line.choice is not None
        stem = prices.dearest(line.choice, customer=order.customer, length_cm=length)
    return whole_minor(Fraction(line.stems + line.spare) * stem)


def cautions_of(plan: Plan, lines: Iterable[OrderLine]) -> set[str]:
    """The caution of every kind that the lines may be given, by name."""
    found = set()
    for line in lines:
        products = [line.product] if line.product else answering(line.choice, plan.crops) if line.choice else []
        for product in (*products, *line.substitutes):
            crop = plan.crops[product.variety]
            if crop.caution:
                found.add(f"{crop.name}: {crop.caution}")
    return found


def _entry(quote: Quote) -> dict[str, object]:
    return {
        "order": quote.order.key,
        "due": quote.order.due_date.isoformat(),
        "level": quote.level,
        "order_confidence": quote.order_confidence,
        "total_minor": quote.total_minor,
        "lines": [
            {"line": q.line.key, "stems": q.line.stems, "confidence": q.confidence, "price_minor": q.price_minor}
            for q in quote.lines
        ],
    }
