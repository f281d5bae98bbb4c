"""GET /v1/outlook."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import Field

from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.promises.show_outlook import ClassOutlook, show_outlook
from haulm.planning.left_over import WeekLeft
from haulm.planning.outlooks import Delivery
from haulm.rest.reads import Confidence
from haulm.rest.typical import TypicalShape, typical_shapes
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["outlook"])


class DeliveryOutlookShape(Shape):
    """What one order is due on one day, and how sure it is as a whole."""

    order: str
    customer: str
    due: str
    line_class: str = Field(serialization_alias="class")
    lines: int
    joint_confidence: float
    expected_missing: float
    level: float
    sure: bool


class ClassShape(Shape):
    """How sure it is that every line of a class is filled in the same season."""

    line_class: str = Field(serialization_alias="class")
    lines: int
    confidence: float
    expected_missing: float


class LeftOverShape(Shape):
    """Fresh stems of a product left over in a week, in a poor, a middling and a good season."""

    product: str
    week: str
    p10: int
    p50: int
    p90: int


class TypicalOfProductShape(Shape):
    """Fresh stems of a product in three seasons that could happen, by the week of their first usable due date."""

    product: str
    seasons: list[TypicalShape]


class OutlookShape(Shape):
    """The farm over all seasons; `confidence` is the one asked of every order, null where each has its own."""

    confidence: float | None
    levels: str
    orders: list[DeliveryOutlookShape]
    classes: list[ClassShape]
    left_over: list[LeftOverShape]
    typical: list[TypicalOfProductShape]


@router.get("/v1/outlook", dependencies=[only_for(Audience.OWNER), kept()])
def outlook(desk: TheDesk, confidence: Confidence = None) -> OutlookShape:
    """How sure each order is as a whole, each class, and what will be left over for the stall or for drying.

    `joint_confidence` weighs the seasons in which all lines of the order due that day are filled, in the same season;
    `sure` says whether it reaches its `level`: the one asked, else the least of its lines'. `left_over` leaves every
    line but the stall's what it has; a stem is counted once, in the first week in which it may leave, so weeks add up
    season by season. `typical` has a poor, a middling and a good season of each fresh product, before anything is
    promised of it: seasons that could happen, where percentiles of each week belong to none.
    """
    found = show_outlook(desk, confidence)
    return OutlookShape(
        confidence=found.level,
        levels=levels_in_words(desk.store.farm().site, found.level),
        orders=[delivery_shape(item) for item in found.orders],
        classes=[_class(item) for item in found.classes],
        left_over=[_left(item) for item in found.left_over],
        typical=[
            TypicalOfProductShape(product=str(one.product), seasons=typical_shapes(one.seasons))
            for one in found.typical
        ],
    )


def delivery_shape(found: Delivery) -> DeliveryOutlookShape:
    """A delivery as it is sent."""
    return DeliveryOutlookShape(
        order=found.order,
        customer=found.customer,
        due=found.due.isoformat(),
        line_class=found.line_class,
        lines=found.lines,
        joint_confidence=round(found.joint_confidence, 6),
        expected_missing=round(found.expected_missing, 2),
        level=found.level,
        sure=found.is_sure,
    )


def _class(found: ClassOutlook) -> ClassShape:
    return ClassShape(
        line_class=found.line_class,
        lines=found.lines,
        confidence=round(found.confidence, 6),
        expected_missing=round(found.expected_missing, 2),
    )


def _left(found: WeekLeft) -> LeftOverShape:
    p10, p50, p90 = found.stems
    return LeftOverShape(product=str(found.product), week=str(found.week), p10=p10, p50=p50, p90=p90)
