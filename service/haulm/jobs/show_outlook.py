"""The outlook over all seasons: how sure each order is, each class as a whole, and what will be left over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.jobs.close_gap import asked_level
from haulm.jobs.desk import Desk
from haulm.matching.confidence import reaches
from haulm.planning.left_over import WeekLeft
from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class Delivery:
    """What one order is due on one day.

    Attributes:
        order, customer, due, line_class: which order, for whom, on which day, in which class.
        lines: number of its lines, the spare left out.
        joint_confidence: weight of the seasons in which all of them are filled, 0-1.
        expected_missing: stems they lack on average.
        is_sure: whether the joint confidence reaches the level asked.
    """

    order: str
    customer: str
    due: date
    line_class: LineClass
    lines: int
    joint_confidence: float
    expected_missing: float
    is_sure: bool


@dataclass(frozen=True, slots=True)
class ClassOutlook:
    """How sure a class is as a whole: weight of the seasons in which all its lines are filled, stems they lack."""

    line_class: LineClass
    lines: int
    confidence: float
    expected_missing: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """The farm over all seasons: orders by due date, classes in their order, stems left over by product and week."""

    level: float
    orders: tuple[Delivery, ...]
    classes: tuple[ClassOutlook, ...]
    left_over: tuple[WeekLeft, ...]


def show_outlook(desk: Desk, level: float | None = None) -> Outlook:
    """How sure everything is at a confidence (the farm's own unless said), and what will be left over.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    asked = asked_level(plan, level)
    return Outlook(asked, tuple(deliveries(plan, asked)), tuple(_classes(plan)), plan.left_by_week)


def deliveries(plan: Plan, level: float) -> list[Delivery]:
    """What each order is due on each day, by due date; its spare is no part of it."""
    by_order: dict[tuple[date, str, LineClass], list[int]] = {}
    for place, line in enumerate(plan.result.lines):
        if not line.is_spare:
            by_order.setdefault((line.due, line.order, line.line_class), []).append(place)
    return [_delivery(plan, by_order[key], level) for key in sorted(by_order)]


def _delivery(plan: Plan, places: list[int], level: float) -> Delivery:
    first = plan.result.lines[places[0]]
    joint = plan.joint_of(places)
    missing = _missing(plan, places)
    return Delivery(
        first.order, first.customer, first.due, first.line_class, len(places), joint, missing, reaches(joint, level)
    )


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
