"""POST /v1/what-if: reads only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Response
from pydantic import ConfigDict, Field, WithJsonSchema

from haulm.advice.shortfalls import Gap, LineOutlook
from haulm.errors import NotAccepted
from haulm.farm.site import Site
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.supposed import FrostSupposed, MoveSupposed, PauseSupposed, RowSupposed, Supposed
from haulm.jobs.gaps.what_if import Pair, WhatIf, what_if
from haulm.planning.outlooks import Delivery
from haulm.rest.reads import Day
from haulm.rest.row_schemas import any_changed_row
from haulm.rest.wire import Ask, Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["what if"])

MOST_CHANGES = 50
_KINDS = "one of collection with values, frost_weeks_earlier, pause, move with to"
_EXAMPLES: list[Any] = [
    {
        "changes": [
            {"collection": "known_stems", "values": {"product": "lagurus", "ready_date": "2027-06-14", "stems": 40}}
        ]
    },
    {"changes": [{"frost_weeks_earlier": 2}, {"pause": "anna-weekly"}], "confidence": 0.8},
    {"changes": [{"move": "party", "to": "2027-06-19"}]},
]


class SupposedAsk(Ask):
    """One thing supposed: a row of a collection put in or changed, an earlier frost, a pause, or an order moved."""

    collection: str | None = None
    key: str | None = None
    values: Annotated[dict[str, Any] | None, WithJsonSchema(any_changed_row())] = None
    frost_weeks_earlier: int | None = Field(default=None, ge=-26, le=26)
    pause: str | None = Field(default=None, description="The key of a standing order.")
    move: str | None = Field(default=None, description="The key of an order.")
    to: Day | None = Field(default=None, description="The due day to which it moves.")


class WhatIfAsk(Ask):
    """What is supposed, one after the other, and the confidence at which gaps are counted."""

    model_config = ConfigDict(json_schema_extra={"examples": _EXAMPLES})

    changes: tuple[SupposedAsk, ...] = Field(min_length=1, max_length=MOST_CHANGES)
    confidence: float | None = Field(default=None, gt=0, lt=1)


# Sides and pairs are made by the hundred for one answer: plain values are made three times as fast as models.


@dataclass(slots=True)
class LineSideShape:
    """A line before, or after."""

    due: str
    stems: int
    confidence: float
    expected_missing: float


@dataclass(slots=True)
class LinePairShape:
    """A line before and after; null where it is not there."""

    line: str
    order: str
    customer: str
    line_class: Annotated[str, Field(serialization_alias="class")]
    spare: bool
    product: str | None
    choice: str | None
    promised_confidence: float | None
    before: LineSideShape | None
    after: LineSideShape | None


@dataclass(slots=True)
class OrderSideShape:
    """A delivery before, or after."""

    due: str
    joint_confidence: float
    expected_missing: float


@dataclass(slots=True)
class OrderPairShape:
    """A delivery before and after; null where it is not there."""

    order: str
    customer: str
    before: OrderSideShape | None
    after: OrderSideShape | None


@dataclass(slots=True)
class GapSideShape:
    """A gap before, or after."""

    weeks: list[str]
    confidence: float
    missing: float


@dataclass(slots=True)
class GapPairShape:
    """A gap before and after; null where there is none."""

    gap: str
    product: str
    before: GapSideShape | None
    after: GapSideShape | None


class WhatIfShape(Shape):
    """Before and after: the lines and orders that differ, of so many lines in all, and every gap.

    `confidence` is the one asked of every line, null where each is held to its own; `levels` says it in words. Where no
    line and no order differs, `nothing` says why; `over_full` are the beds that cannot hold it, a sentence each.
    """

    confidence: float | None
    levels: str
    lines_in_all: int
    lines: list[LinePairShape]
    orders: list[OrderPairShape]
    gaps: list[GapPairShape]
    over_full: list[str]
    nothing: str | None


@router.post("/v1/what-if", response_model=WhatIfShape, dependencies=[only_for(Audience.OWNER)])
def suppose(desk: TheDesk, body: WhatIfAsk) -> Response:
    """The farm with changes, beside the farm as it stands; nothing is written.

    A change is a row by the names of the folder's columns (`collection`, `values`, and the `key` of a row that is to be
    changed), the killing frost some weeks earlier in every season (later, where negative), a standing order that
    pauses, or a dated order that moves to another due day with its event. A standing line is told by its day; a dated
    one is shown in one row wherever it moves.
    """
    changes = [_supposed(change, f"changes[{place}]") for place, change in enumerate(body.changes)]
    shown = _shown(what_if(desk, changes, body.confidence), desk.store.farm().site)
    # A response is sent as it is; the shape alone would be checked once more, and written in the loop of all callers.
    return Response(shown.model_dump_json(by_alias=True), media_type="application/json")


def _supposed(change: SupposedAsk, where: str) -> Supposed:
    match change.model_dump(exclude_none=True):
        case {"collection": collection, "values": values, "key": key, **rest} if not rest:
            return RowSupposed(collection.replace("-", "_"), values, key)
        case {"collection": collection, "values": values, **rest} if not rest:
            return RowSupposed(collection.replace("-", "_"), values)
        case {"frost_weeks_earlier": weeks, **rest} if not rest:
            return FrostSupposed(weeks * 7)
        case {"pause": order, **rest} if not rest:
            return PauseSupposed(order)
        case {"move": order, "to": due, **rest} if not rest:
            return MoveSupposed(order, due)
        case named:
            raise NotAccepted(where=where, found=", ".join(named) or "nothing", accepted=_KINDS)


def _shown(found: WhatIf, site: Site) -> WhatIfShape:
    return WhatIfShape(
        confidence=found.level,
        levels=levels_in_words(site, found.level),
        lines_in_all=found.lines_in_all,
        lines=[_line_pair(pair) for pair in found.lines],
        orders=[_order_pair(pair) for pair in found.orders],
        gaps=[_gap_pair(pair) for pair in found.gaps],
        over_full=list(found.over_full),
        nothing=found.nothing,
    )


def _line_pair(pair: Pair[LineOutlook]) -> LinePairShape:
    line = pair.either.line
    return LinePairShape(
        line=line.line,
        order=line.order,
        customer=line.customer,
        line_class=line.line_class,
        spare=line.is_spare,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        promised_confidence=line.promised_confidence,
        before=_line_side(pair.before),
        after=_line_side(pair.after),
    )


def _line_side(found: LineOutlook | None) -> LineSideShape | None:
    if found is None:
        return None
    return LineSideShape(
        due=found.line.due.isoformat(),
        stems=found.line.stems,
        confidence=round(found.confidence, 6),
        expected_missing=round(found.expected_missing, 2),
    )


def _order_pair(pair: Pair[Delivery]) -> OrderPairShape:
    order = pair.either
    sides = (_order_side(pair.before), _order_side(pair.after))
    return OrderPairShape(order=order.order, customer=order.customer, before=sides[0], after=sides[1])


def _order_side(found: Delivery | None) -> OrderSideShape | None:
    if found is None:
        return None
    return OrderSideShape(
        due=found.due.isoformat(),
        joint_confidence=round(found.joint_confidence, 6),
        expected_missing=round(found.expected_missing, 2),
    )


def _gap_pair(pair: Pair[Gap]) -> GapPairShape:
    gap = pair.either
    return GapPairShape(gap=gap.key, product=gap.asked, before=_gap_side(pair.before), after=_gap_side(pair.after))


def _gap_side(gap: Gap | None) -> GapSideShape | None:
    if gap is None:
        return None
    return GapSideShape(
        weeks=[str(week) for week in gap.weeks],
        confidence=round(gap.confidence, 6),
        missing=round(gap.expected_missing, 2),
    )
