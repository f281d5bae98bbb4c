"""Every wedding of the demo farm quoted anew: by kind alone, and by role and palette."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haulm.farm.edits import with_rows
from haulm.farm.orders import Order
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.find_places import largest_today
from haulm.jobs.quotes.answer import Answered, QuoteAsked, answered, drafted, held_today
from haulm.planning.plan import Plan


@dataclass(frozen=True)
class Anew:
    """One wedding quoted anew, as a hold made today or contracted on the day it was.

    Attributes:
        order: its key.
        event: its day.
        by_kind: joint confidence with nothing standing in, 0-1.
        by_role: the same with stand-ins of role and palette behind each kind, 0-1.
        lines_asked: of each line with the stand-ins that its row names, by key, 0-1.
        lines_by_role: of each line with stand-ins of role and palette, by key, 0-1.
        largest: the sentence on the largest size by role that passes; empty where what is asked does.
    """

    order: str
    event: date
    by_kind: float
    by_role: float
    lines_asked: dict[str, float]
    lines_by_role: dict[str, float]
    largest: str


def weddings_anew(desk: Desk, *, held: bool) -> list[Anew]:
    """The weddings of the farm, each asked as if it were not there yet; the palette is that of its own kinds."""
    farm = desk.store.farm()
    return [_anew(desk, farm, order, held=held) for order in farm.orders if order.kind is OrderKind.WEDDING]


def _anew(desk: Desk, farm: Farm, order: Order, *, held: bool) -> Anew:
    lines = tuple(line for line in farm.order_lines if line.order == order.key)
    rest = replace(
        farm,
        orders=tuple(other for other in farm.orders if other.key != order.key),
        order_lines=tuple(line for line in farm.order_lines if line.order != order.key),
    )
    base, today = desk.planner.trial(desk.plan(), rest), desk.today()
    committed = order.committed_on or today
    contracted = replace(order, status=OrderStatus.CONTRACTED, hold_until=None, committed_on=committed)
    place = held_today(order, today) if held else contracted
    event, refused = order.event_date or order.due_date, order.unacceptable
    asked = QuoteAsked(event, lines=lines, due_date=order.due_date, stand_ins=True, unacceptable=refused)

    bare = desk.planner.trial(base, with_rows(rest, [place, *(replace(line, substitutes=()) for line in lines)]))
    as_asked = desk.planner.trial(base, with_rows(rest, [place, *lines]))
    by_role = answered(desk, base, asked, place, drafted(base, asked, order.key))
    return Anew(
        order.key,
        event,
        bare.joint(order.key),
        by_role.trial.joint(order.key),
        _lines(as_asked, order.key),
        _lines(by_role.trial, order.key),
        _largest(desk, base, by_role, asked),
    )


def _largest(desk: Desk, base: Plan, found: Answered, asked: QuoteAsked) -> str:
    largest = largest_today(desk, base, found, asked)
    return "" if largest is None else largest.sentence


def _lines(plan: Plan, order: str) -> dict[str, float]:
    return {o.line.line: o.confidence for o in plan.outlooks if o.line.order == order and not o.line.is_spare}
