"""Recheck what is held and contracted 8, 4, 2 and 1 weeks before its day, and write down what was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.farm.orders import Order
from haulm.farm.quantities import percent, reaches
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.show_quote import RECHECK_KIND, is_lapsed, promised_level
from haulm.language.words import _, one_or_more
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork

WEEKS_BEFORE = (8, 4, 2, 1)


@dataclass(frozen=True, slots=True)
class Rechecked:
    """What a recheck found.

    Attributes:
        order: key of the order.
        weeks_before: the mark that was reached.
        order_confidence: how sure all its lines are at once, 0-1.
        level: the level it was promised at, 0-1.
        fell: whether it is below that.
        sentence: all that in words; a warning where it fell.
    """

    order: str
    weeks_before: int
    order_confidence: float
    level: float
    fell: bool
    sentence: str


def recheck_quotes(desk: Desk, actor: str) -> tuple[Rechecked, ...]:
    """Recheck the orders that reached a mark, once for each; a mark that was slept through is passed over.

    Returns:
        What was found and written down now; nothing the second time.
    """
    desk.plan()
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        plan = desk.plan_of(work.farm)
        found = tuple(_due(plan, work))
        for result in found:
            facts = {
                "on": plan.today.isoformat(),
                "weeks_before": result.weeks_before,
                "order_confidence": result.order_confidence,
                "level": result.level,
                "fell": result.fell,
                "sentence": result.sentence,
            }
            work.enter(RECHECK_KIND, f"orders/{result.order}", facts)
        if found:
            work.save()
    return found


def mark_reached(event: date, today: date) -> int | None:
    """The last of the marks that was reached, in weeks before the day; None where none is, or the day is over."""
    days = (event - today).days
    return min((weeks for weeks in WEEKS_BEFORE if 0 <= days <= weeks * 7), default=None)


def _due(plan: Plan, work: UnitOfWork) -> Iterator[Rechecked]:
    known = {(entry.subject, entry.facts["weeks_before"]) for entry in work.entries_of(RECHECK_KIND)}
    for order in plan.farm.orders:
        weeks = mark_reached(order.event_date or order.due_date, plan.today)
        live = order.status in (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED) and not is_lapsed(order, plan.today)
        if weeks is None or not live or order.kind is OrderKind.STALL or not plan.lines_of(order.key):
            continue
        if (f"orders/{order.key}", weeks) not in known:
            yield _rechecked(plan, order, weeks)


def _rechecked(plan: Plan, order: Order, weeks: int) -> Rechecked:
    sure, level = plan.joint(order.key), promised_level(plan, order)
    fell = not reaches(sure, level)
    said = one_or_more(
        "{weeks} week before: {sure} sure as a whole, promised at {level}",
        "{weeks} weeks before: {sure} sure as a whole, promised at {level}",
        weeks,
    ).format(weeks=weeks, sure=percent(sure), level=percent(level))
    sentence = (
        _("{said}; see what can still close the gap.").format(said=said)
        if fell
        else _("{said}; it stands.").format(said=said)
    )
    return Rechecked(order.key, weeks, sure, level, fell, sentence)
