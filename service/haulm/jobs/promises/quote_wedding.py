"""Quote: from pieces or lines to dated stems, how sure each is, what they cost; nothing is held yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.edits import Row
from haulm.farm.orders import Order, OrderLine, StandingLine
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.facts import facts_of
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.tell_places import with_places
from haulm.jobs.quotes.answer import ENQUIRY, Answered, QuoteAsked, answered, drafted, held_today, new_customer
from haulm.jobs.quotes.draft import with_ways
from haulm.jobs.quotes.prices import priced_answer
from haulm.jobs.quotes.version import QuoteVersion
from haulm.jobs.quotes.written import version_of
from haulm.language.words import _
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

__all__ = ["ENQUIRY", "Quote", "QuoteAsked", "free_quote_key", "new_customer"]


@dataclass(frozen=True, slots=True)
class Quote:
    """A quote as it was made: its order, and the version that says what was answered."""

    order: Order
    version: QuoteVersion


@dataclass(frozen=True, slots=True)
class QuoteReady:
    """A quote as it would be written, worked out for one version of the farm and one day.

    Attributes:
        at: the version and the day.
        asked: what is asked.
        order: its order, quoted and not yet held.
        found: the answer.
        version: what is written of it.
    """

    at: tuple[int, date]
    asked: QuoteAsked
    order: Order
    found: Answered
    version: QuoteVersion


def quote_ready(desk: Desk, asked: QuoteAsked) -> QuoteReady | None:
    """A quote worked out before anybody has to wait for the farm; None where it is refused."""
    try:
        return _worked_out(desk, desk.store.farm(), asked, desk.store.next_seq())
    except HaulmError:
        return None  # the step that writes it says why


def quote_wedding(desk: Desk, work: UnitOfWork, asked: QuoteAsked, ready: QuoteReady | None = None) -> Quote:
    """Write a quote and say how sure it is, were it held today.

    Args:
        desk: the desk.
        work: the unit of work.
        asked: what is asked.
        ready: the quote worked out before; where the farm or the day is another by now, it is worked out anew.

    Raises:
        DatePassed, DayNotServed, NothingInSeason, NotAccepted, NotFound: it cannot be answered.
    """
    if ready is None or ready.at != (work.farm.version, desk.today()) or ready.asked != asked:
        ready = _worked_out(desk, work.farm, asked, work.next_seq)
    found, version = ready.found, ready.version
    written = _quoted_order(ready.order, found)
    seq = work.enter("quoted", f"orders/{written.key}", facts(version, asked))
    rows: list[Row] = [*new_customer(work.farm, written), written, *found.draft.order_lines]
    for row in rows:
        work.put(row, entry=seq)
    for line in found.draft.order_lines:
        state = Promise(line.key, written.due_date, written.key, PromiseState.ASKED, line.stems, found.level)
        work.promise(state, entry=seq)
    return Quote(written, version)


def _worked_out(desk: Desk, farm: Farm, asked: QuoteAsked, seq: int) -> QuoteReady:
    today, plan = desk.today(), desk.plan_of(farm)
    order = new_order(farm, asked, today, free_quote_key(farm, seq))
    draft = drafted(plan, asked, order.key)
    require_sound(farm, *with_ways([*new_customer(farm, order), order], draft))
    found = priced_answer(answered(desk, plan, asked, held_today(order, today), draft), today=today)
    version = with_places(desk, plan, found, asked, version_of(found, asked, number=1, today=today))
    return QuoteReady((farm.version, today), asked, order, found, version)


def facts(version: QuoteVersion, asked: QuoteAsked) -> dict[str, object]:
    """What an entry keeps of a version: all of it, and the figures that stand beside it in every entry of a quote."""
    return {
        "due": version.due_date.isoformat(),
        "level": version.level,
        "order_confidence": version.order_confidence,
        "total_minor": version.price.total_minor,
        "kind": str(asked.kind),
        "version": facts_of(version),
    }


def new_order(farm: Farm, asked: QuoteAsked, today: date, key: str) -> Order:
    """The order of a quote, quoted and not yet held.

    Raises:
        DatePassed, NotAccepted, NotFound: the day, what is asked or the customer is not accepted.
    """
    ahead = farm.site.wedding_days_ahead if asked.kind is OrderKind.WEDDING else 0
    if asked.event_date < today:
        raise DatePassed(what=_("Day of the event"), found=asked.event_date, today=today)
    due = asked.due_date or asked.event_date - timedelta(days=ahead)
    if due < today:
        raise DatePassed(what=_("Day the stems leave"), found=due, today=today)
    if due > asked.event_date:
        raise NotAccepted(
            where="due",
            found=day_in_words(due),
            accepted=_("a day up to the event on {event_date}").format(event_date=day_in_words(asked.event_date)),
        )
    if asked.customer is not None and all(customer.key != asked.customer for customer in farm.customers):
        raise NotFound(kind=_("customer"), key=asked.customer)
    _check_agreeing(asked)
    return Order(
        key,
        asked.customer or ENQUIRY.key,
        asked.kind,
        due,
        event_date=asked.event_date,
        status=OrderStatus.QUOTED,
        final_numbers_date=final_numbers_date(farm, asked, due, today),
        unacceptable=asked.unacceptable,
    )


def _check_agreeing(asked: QuoteAsked) -> None:
    """Refuse what contradicts itself.

    Raises:
        NotAccepted: both or neither of pieces and lines, or stand-ins that both may and may not be.
    """
    if bool(asked.pieces) == bool(asked.lines):
        found = _("pieces and lines") if asked.lines else _("neither pieces nor lines")
        raise NotAccepted(where="quote", found=found, accepted=_("either pieces or lines"))
    if asked.stand_ins and asked.no_substitute:
        raise NotAccepted(
            where="stand_ins", found=_("stand_ins with no_substitute"), accepted=_("one of them, or neither")
        )


def final_numbers_date(farm: Farm, asked: QuoteAsked, due: date, today: date) -> date | None:
    """The day by which the counts of a wedding's pieces are final; None for other kinds, or where it is past."""
    day = min(asked.event_date - timedelta(days=farm.site.quotes.final_numbers_days), due)
    return day if asked.kind is OrderKind.WEDDING and asked.pieces and day >= today else None


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


def _quoted_order(order: Order, found: Answered) -> Order:
    """The order as it is written: on the day that can be served, and not held."""
    moved = found.order
    return Order(
        order.key,
        order.customer,
        order.kind,
        moved.due_date,
        event_date=order.event_date,
        status=OrderStatus.QUOTED,
        final_numbers_date=moved.final_numbers_date,
        unacceptable=order.unacceptable,
    )
