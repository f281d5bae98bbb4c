"""How a quote ends: released by the grower, cancelled by the customer, or fulfilled."""

from __future__ import annotations

from dataclasses import replace

from haulm.errors import NotAccepted
from haulm.farm.orders import Order
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.hold_quote import check_step, lines_of, order_named
from haulm.jobs.quotes.refusals import NotAQuote
from haulm.language.words import _
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

_STANDS = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


def fulfil_order(desk: Desk, work: UnitOfWork, key: str) -> Order:
    """Write down that a contracted order was delivered; lines that a confirmed bucket list delivered stay as they are.

    Raises:
        NotFound, NotAQuote: the step is not open.
        NotAccepted: the stems have not left yet.
    """
    order = order_named(work.farm, key)
    if order.status is not OrderStatus.CONTRACTED:
        raise NotAQuote(order=key, status=str(order.status), step="fulfil", accepted=_("contracted"))
    if order.due_date > desk.today():
        accepted = _("{due_date} or later, when its stems have left").format(due_date=day_in_words(order.due_date))
        raise NotAccepted(
            where=_("order '{key}' fulfilled on").format(key=key), found=day_in_words(desk.today()), accepted=accepted
        )
    done = replace(order, status=OrderStatus.DELIVERED)
    _resolve(work, order, done, "quote-fulfilled", PromiseState.DELIVERED, {})
    return done


def release_quote(desk: Desk, work: UnitOfWork, key: str) -> Order:
    """Let an order's stems go because the grower says so: a quote that came to nothing, a hold no one wants.

    That the customer cancelled is another fact, with a reason: `cancel_quote`, open after the day as well.

    Raises:
        NotFound, NotAQuote, DatePassed: the step is not open.
    """
    order = order_named(work.farm, key)
    check_step(order, "release", desk.today(), _STANDS)
    return _let_go(work, order, "released", {"was": str(order.status)})


def cancel_quote(desk: Desk, work: UnitOfWork, key: str, *, reason: str = "") -> Order:
    """Write down that the customer cancelled; the stems are free again. What a deposit then does is for the contract.

    Raises:
        NotFound, NotAQuote: the step is not open.
    """
    order = order_named(work.farm, key)
    if order.status not in _STANDS:
        accepted = _(" or ").join(map(str, _STANDS))
        raise NotAQuote(order=key, status=str(order.status), step="cancel", accepted=accepted)
    facts: dict[str, object] = {"was": str(order.status), "reason": reason}
    return _let_go(work, order, "quote-cancelled", facts)


def _let_go(work: UnitOfWork, order: Order, kind: str, facts: dict[str, object]) -> Order:
    gone = replace(order, status=OrderStatus.CANCELLED, hold_until=None)
    _resolve(work, order, gone, kind, PromiseState.RELEASED, facts)
    return gone


def _resolve(
    work: UnitOfWork, order: Order, now: Order, kind: str, state: PromiseState, facts: dict[str, object]
) -> None:
    seq = work.enter(kind, f"orders/{order.key}", facts)
    work.put(now, entry=seq)
    for line in lines_of(work.farm, order.key):
        if any(found.state.is_open for found in work.promises(line.key, order.due_date)[-1:]):
            work.promise(Promise(line.key, order.due_date, order.key, state, line.stems), entry=seq)
