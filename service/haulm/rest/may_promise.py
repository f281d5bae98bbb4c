"""POST /v1/may-promise: reads only."""

from __future__ import annotations

from typing import Any, Literal

from fastapi import APIRouter
from pydantic import ConfigDict, Field

from haulm.farm.orders import OrderLine
from haulm.farm.words import OrderKind, OrderStatus
from haulm.farm_folder.cells import row_from_values
from haulm.jobs.promises.ask_on_the_spot import SpotAnswer, SpotAsked, ask_on_the_spot
from haulm.rest.derived import old_name
from haulm.rest.falls import FallShape, fall_shapes
from haulm.rest.reads import Day
from haulm.rest.wire import Ask, Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["quotes"])

_EXAMPLES: list[Any] = [
    {"product": "lagurus", "due": "2027-06-18"},
    {"choice": "role=accent colour=blue", "due": "2027-06-17", "kind": "wedding", "confidence": 0.9},
]


class MayPromiseAsk(Ask):
    """A product or a choice for a day, with the columns of order_lines.csv that narrow it."""

    model_config = ConfigDict(json_schema_extra={"examples": _EXAMPLES})

    product: str | None = None
    choice: str | None = None
    due: Day = Field(description="The day the stems leave.")
    kind: OrderKind = OrderKind.ONE_OFF
    status: Literal["contracted", "on_hold"] = "contracted"
    customer: str | None = None
    confidence: float | None = Field(default=None, gt=0, lt=1)
    substitutes: tuple[str, ...] = Field(default=(), max_length=100)
    stage: str | None = None
    min_length_cm: int | None = None
    max_each: int | None = None
    max_age_days: int | None = None


class MayPromiseShape(Shape):
    """The stems that may be promised: so many are accepted, and one more is not.

    `displaced` would be less sure than now and keep their floor. Of one stem more: `at_more_would_fall` would fall
    below it, and `at_more_confidence` is how sure the line itself would be. `also` is a larger number that passes
    again; `hope_to_offer` is what may be hoped for at the lower level of hopes, and never promised.
    """

    product: str | None
    choice: str | None
    due: str
    kind: str
    status: str
    level: float
    stems: int
    hope_to_offer: int
    also: int | None
    confidence: float | None
    displaced: list[FallShape]
    at_more_confidence: float | None
    at_more_would_fall: list[FallShape]
    sentence: str
    confidence_asked: float = old_name("level")


@router.post("/v1/may-promise", dependencies=[only_for(Audience.OWNER)])
def may_promise(desk: TheDesk, body: MayPromiseAsk) -> MayPromiseShape:
    """The stems of a product or a choice that would be accepted for a day, were they promised now; one more is not.

    Each number tried is judged as a contract or a hold is: the line sure enough in its real place, and nothing promised
    before falls below its floor. Nothing is written.
    """
    return _answer(ask_on_the_spot(desk, _asked(body)))


def _asked(body: MayPromiseAsk) -> SpotAsked:
    narrowed = body.model_dump(
        include={"product", "choice", "substitutes", "stage", "min_length_cm", "max_each", "max_age_days"}
    )
    values = {**narrowed, "substitutes": list(body.substitutes), "key": "line", "order": "spot", "stems": 1}
    line: OrderLine = row_from_values("order_lines", values)
    return SpotAsked(line, body.due, body.kind, OrderStatus(body.status), body.customer, body.confidence)


def _answer(answer: SpotAnswer) -> MayPromiseShape:
    asked, found = answer.asked, answer.found
    return MayPromiseShape(
        product=None if asked.line.product is None else str(asked.line.product),
        choice=None if asked.line.choice is None else str(asked.line.choice),
        due=asked.due_date.isoformat(),
        kind=asked.kind,
        status=asked.status,
        level=answer.level,
        confidence_asked=answer.level,
        stems=found.stems,
        hope_to_offer=found.stems if answer.hope is None else answer.hope,
        also=found.also,
        confidence=None if found.verdict is None else round(found.verdict.joint, 6),
        displaced=[] if found.verdict is None else fall_shapes(found.verdict.displaced),
        at_more_confidence=None if found.beyond is None else round(found.beyond.joint, 6),
        at_more_would_fall=[] if found.beyond is None else fall_shapes(found.beyond.falls),
        sentence=answer.sentence,
    )
