"""The outlook over all seasons: how sure each order is, each class as a whole, and what will be left over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.jobs.desk.asked_level import checked_level
from haulm.jobs.desk.desk import Desk
from haulm.planning.left_over import WeekLeft
from haulm.planning.outlooks import Delivery
from haulm.planning.plan import Plan
from haulm.planning.ready_by_week import TypicalOfProduct


@dataclass(frozen=True, slots=True)
class ClassOutlook:
    """How sure a class is as a whole: weight of the seasons in which all its lines are filled, stems they lack."""

    line_class: LineClass
    lines: int
    confidence: float
    expected_missing: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """The farm over all seasons.

    Attributes:
        level: the level asked of every order; None where each has its own.
        orders: what each is due on each day, by due date.
        classes: how sure each is as a whole, in their order.
        left_over: stems left over, by product and week.
        typical: seasons of each fresh product that could happen.
    """

    level: float | None
    orders: tuple[Delivery, ...]
    classes: tuple[ClassOutlook, ...]
    left_over: tuple[WeekLeft, ...]
    typical: tuple[TypicalOfProduct, ...]


def show_outlook(desk: Desk, level: float | None = None) -> Outlook:
    """How sure everything is at a confidence (each line's own unless said), and what will be left over.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    asked = checked_level(level)
    return Outlook(asked, list_orders(desk, level), tuple(_classes(plan)), plan.left_by_week, plan.typical_products)


def list_orders(desk: Desk, level: float | None = None) -> tuple[Delivery, ...]:
    """What each order is due on each day and how sure that is, by due date.

    Raises:
        NotAccepted: the confidence is no share.
    """
    return desk.plan().deliveries(checked_level(level))


def _classes(plan: Plan) -> Iterable[ClassOutlook]:
    by_class: dict[LineClass, list[int]] = {}
    for place, line in enumerate(plan.result.lines):
        by_class.setdefault(_class_of(line), []).append(place)
    for line_class, places in by_class.items():
        yield ClassOutlook(line_class, len(places), plan.joint_of(places), _missing(plan, places))


def _class_of(line: DatedLine) -> LineClass:
    return LineClass.SPARE if line.is_spare else line.line_class


def _missing(plan: Plan, places: Iterable[int]) -> float:
    return sum(plan.outlooks[place].expected_missing for place in places)
