"""Holds that are over, written down once; run each day, and needed by nobody: a lapsed hold lets go by its date."""

from __future__ import annotations

from haulm.farm.orders import Order
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.hold_quote import lines_of
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


def lapse_holds(desk: Desk, actor: str) -> tuple[str, ...]:
    """Write down the holds that are over; their stems have been free since the day after their last, all the same.

    Returns:
        The keys of the orders whose holds were written down now; none the second time.
    """
    today = desk.today()
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        over = [
            order
            for order in work.farm.orders
            if order.status is OrderStatus.ON_HOLD and order.hold_until is not None and order.hold_until < today
        ]
        written = [order.key for order in over if _lapsed(work, order)]
        if written:
            work.save()
    return tuple(written)


def _lapsed(work: UnitOfWork, order: Order) -> bool:
    held = [
        line
        for line in lines_of(work.farm, order.key)
        if [found.state for found in work.promises(line.key, order.due_date)[-1:]] == [PromiseState.HELD]
    ]
    if not held:
        return False
    until = None if order.hold_until is None else order.hold_until.isoformat()
    seq = work.enter("quote-lapsed", f"orders/{order.key}", {"hold_until": until})
    for line in held:
        work.promise(Promise(line.key, order.due_date, order.key, PromiseState.LAPSED, line.stems), entry=seq)
    return True
