"""GET /v1/match/{line}/why."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from haulm.jobs.promises.explain_line import Explanation, Holder, LotCounted, PoolUsedUp, SeasonShown, explain_line
from haulm.rest.asked_lines import AskedLineShape, asked_fields
from haulm.rest.doubt_shapes import PartOfDoubtShape, doubt_shapes
from haulm.rest.faces_shapes import CauseShape, FacesShape, cause_shapes, faces_shape
from haulm.rest.reads import Day
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["match"])


class CountedLotShape(Shape):
    """Stems of one ready date; `stock` is the key of the count they come from, where there is one."""

    ready_date: str
    stems: int
    cut_date: str | None = None
    stock: str | None = None


class HolderShape(Shape):
    """An earlier line and the stems that it holds."""

    line: str
    order: str
    customer: str
    line_class: str = Field(serialization_alias="class")
    due: str
    stems: int


class UsedUpShape(Shape):
    """A product in one length class that gave all it could: `stems` is `could_have` plus what `held_by` hold."""

    product: str
    length_cm: int | None
    stems: int
    lots: list[CountedLotShape]
    could_have: int
    held: int
    held_by: list[HolderShape]


class AtLimitShape(Shape):
    """A product of which the line takes no more, though there is more."""

    product: str
    length_cm: int | None
    stems: int


class ExplanationShape(AskedLineShape):
    """What a line asks, gets and lacks in one season, and who holds the stems."""

    season: str
    asked: int
    filled: int
    missing: int
    minimum: int
    below_minimum: bool
    could_have: int
    used_up: list[UsedUpShape]
    at_limit: list[AtLimitShape]
    confidence: float
    expected_missing: float
    doubt: list[PartOfDoubtShape]
    faces: FacesShape
    causes: list[CauseShape]
    order_faces: FacesShape
    sentence: str


@router.get("/v1/match/{line}/why", dependencies=[only_for(Audience.OWNER), kept()])
def why(
    desk: TheDesk,
    line: str,
    due: Annotated[Day, Query(description="The due date of the line; with its key it is one line.")],
    season: Annotated[SeasonShown, Query(description="The season explained.")] = SeasonShown.EXPECTED,
) -> ExplanationShape:
    """Why a line is short: for each product that is used up, the stems that count and the earlier lines that hold them.

    The stems that count are those the line could use, and those to which the lines that hold them could move. Of each
    product, `could_have` and the stems of `held_by` add up to them: one stem more is one stem less for these lines.
    Over the products, `could_have` and the stems of `at_limit` add up to the line's `could_have`, which it gets unless
    that is below its `minimum`.

    `faces` says in how many of the drawn seasons all of it comes, a part, none; `order_faces` the same of all lines of
    its order due that day; `causes` why it is short where it is, one cause in each season.
    """
    return _explanation(explain_line(desk, line, due, season))


def _explanation(found: Explanation) -> ExplanationShape:
    line = found.line
    return ExplanationShape(
        **asked_fields(line),
        season=found.season,
        asked=line.stems,
        filled=found.filled,
        missing=found.missing,
        minimum=line.minimum,
        below_minimum=found.below_minimum,
        could_have=found.could_have,
        used_up=[_used_up(pool) for pool in found.pools],
        at_limit=[
            AtLimitShape(product=str(part.product), length_cm=part.length_cm or None, stems=part.stems)
            for part in found.at_limit
        ],
        confidence=round(found.outlook.confidence, 6),
        expected_missing=round(found.outlook.expected_missing, 2),
        doubt=doubt_shapes(found.doubt.parts),
        faces=faces_shape(found.unsure.faces),
        causes=cause_shapes(found.unsure.causes),
        order_faces=faces_shape(found.delivery),
        sentence=found.sentence,
    )


def _used_up(pool: PoolUsedUp) -> UsedUpShape:
    return UsedUpShape(
        product=str(pool.product),
        length_cm=pool.length_cm or None,
        stems=pool.stems,
        lots=[_lot(counted) for counted in pool.lots],
        could_have=pool.could_have,
        held=sum(holder.stems for holder in pool.holders),
        held_by=[_holder(holder) for holder in pool.holders],
    )


def _lot(counted: LotCounted) -> CountedLotShape:
    lot = counted.lot
    return CountedLotShape(
        ready_date=lot.ready.isoformat(),
        stems=counted.stems,
        cut_date=None if lot.cut is None else lot.cut.isoformat(),
        stock=lot.key or None,
    )


def _holder(holder: Holder) -> HolderShape:
    line = holder.line
    return HolderShape(
        line=line.line,
        order=line.order,
        customer=line.customer,
        line_class=line.line_class,
        due=line.due.isoformat(),
        stems=holder.stems,
    )
