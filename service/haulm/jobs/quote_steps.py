"""The later steps in the life of a quote: fulfilled or cancelled."""

from __future__ import annotations

from dataclasses import replace

from haulm.errors import NotAccepted
from haulm.farm.orders import Order
from haulm.farm.words import OrderStatus
from haulm.jobs.desk import Desk
from haulm.jobs.hold_quote import lines_of, order_named
from haulm.jobs.refusals import NotAQuote
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


def fulfil_order(desk: Desk, work: UnitOfWork, key: str) -> Order:
    """Write down that a contracted order was delivered; lines that a confirmed bucket list delivered stay as they are.

    Raises:
        NotFound, NotAQuote: the step is not open.
        NotAccepted: the stems have not left yet.
    """
    order = order_named(work.farm, key)
    if order.status is not OrderStatus.CONTRACTED:
        raise NotAQuote(order=key, status=str(order.status), step="fulfil", accepted="contracted")
    if order.due_date > desk.today():
        accepted = f"{order.due_date} or later, when its stems have left"
        raise NotAccepted(where=f"order '{key}' fulfilled on", found=str(desk.today()), accepted=accepted)
    done = replace(order, status=OrderStatus.DELIVERED)
    _resolve(work, order, done, "quote-fulfilled", PromiseState.DELIVERED, {})
    return done


def cancel_quote(desk: Desk, work: UnitOfWork, key: str, *, reason: str = "") -> Order:
    """Write down that the customer cancelled; the stems are free again. What a deposit then does is for the contract.

    Raises:
        NotFound, NotAQuote: the step is not open.
    """
    order = order_named(work.farm, key)
    open_steps = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
    if order.status not in open_steps:
        accepted = " or ".join(map(str, open_steps))
        raise NotAQuote(order=key, status=str(order.status), step="cancel", accepted=accepted)
    gone = replace(order, status=OrderStatus.CANCELLED, hold_until=None)
    facts: dict[str, object] = {"was": str(order.status), "reason": reason}
    _resolve(work, order, gone, "quote-cancelled", PromiseState.RELEASED, facts)
    return gone


def _resolve(
    work: UnitOfWork, order: Order, now: Order, kind: str, state: PromiseState, facts: dict[str, object]
) -> None:
    seq = work.enter(kind, f"orders/{order.key}", facts)
    work.put(now, entry=seq)
    for line in lines_of(work.farm, order.key):
        if any(found.state.is_open for found in work.promises(line.key, order.due_date)[-1:]):
            work.promise(Promise(line.key, order.due_date, order.key, state, line.stems), entry=seq)
