"""GET /v1/bucket-lists/{date} and POST .../confirm."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.jobs.confirm_bucket_list import (
    BucketLine,
    BucketList,
    confirm_bucket_list,
    confirmed_bucket_list,
    draft_bucket_list,
    post_bucket_list,
)
from haulm.rest.reads import Day
from haulm.rest.sources import SourceShape, source_shapes
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["bucket lists"])


class BucketLineShape(Shape):
    """What one line gets: stems, whole bunches, what whole bunches leave over, and its spare beside them, loose."""

    line: str
    order: str
    line_class: str = Field(serialization_alias="class")
    product: str | None
    choice: str | None
    due: str
    asked: int
    filled: int
    bunches: int
    over: int
    sources: list[SourceShape] = Field(serialization_alias="from")
    caution: str | None
    spare: int
    spare_filled: int
    spare_sources: list[SourceShape] = Field(serialization_alias="spare_from")


class CustomerShape(Shape):
    """The lines of one customer."""

    customer: str
    lines: list[BucketLineShape]


class BucketListShape(Shape):
    """The lines due from a bucket day to the day before the next."""

    date: str
    first: str = Field(serialization_alias="from")
    last: str = Field(serialization_alias="to")
    confirmed: bool
    customers: list[CustomerShape]


class TrimmedLine(Ask):
    """Fewer stems for a line than the list has."""

    line: str
    due: Day
    stems: int = Field(ge=0)


class ConfirmAsk(Ask):
    """Lines that get fewer stems than drafted; all others are confirmed as they stand."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 20}]}]}
    )

    lines: tuple[TrimmedLine, ...] = ()


@router.get("/v1/bucket-lists/{day}", response_model=BucketListShape, dependencies=[only_for(Audience.HAND)])
def bucket_list(desk: TheDesk, day: Day) -> Any:
    """The bucket list of a bucket day: as confirmed, or as the match would fill it in a careful season.

    A careful season is one that four seasons in five have reached by any day; known stems count in full.
    """
    confirmed = confirmed_bucket_list(desk, day)
    if confirmed is not None:
        return JSONResponse(dict(confirmed))
    return _shape(draft_bucket_list(desk, day), confirmed=False)


@router.post("/v1/bucket-lists/{day}/confirm", response_model=BucketListShape, dependencies=[only_for(Audience.OWNER)])
def confirm(call: TheCall, day: Day, body: ConfirmAsk | None = None) -> JSONResponse:
    """Confirm the list: it is frozen, and posted to the book of promises and the book of stems."""
    trimmed = {(line.line, line.due): line.stems for line in (body.lines if body else ())}

    def confirmed(work: UnitOfWork) -> BucketListShape:
        found = confirm_bucket_list(call.desk, work, day, trimmed)
        shape = _shape(found, confirmed=True)
        post_bucket_list(work, found, shape.model_dump(mode="json", by_alias=True))
        return shape

    return call.answer(confirmed, is_judged=True)


def _shape(found: BucketList, *, confirmed: bool) -> BucketListShape:
    return BucketListShape(
        date=found.day.isoformat(),
        first=found.day.isoformat(),
        last=found.last.isoformat(),
        confirmed=confirmed,
        customers=_customers(found.lines),
    )


def _customers(lines: Iterable[BucketLine]) -> list[CustomerShape]:
    by_customer = groupby(lines, key=lambda bucket: bucket.line.customer)
    return [CustomerShape(customer=key, lines=[_line(bucket) for bucket in found]) for key, found in by_customer]


def _line(bucket: BucketLine) -> BucketLineShape:
    line = bucket.line
    return BucketLineShape(
        line=line.line,
        order=line.order,
        line_class=line.line_class,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        due=line.due.isoformat(),
        asked=line.stems,
        filled=bucket.filled,
        bunches=bucket.bunches,
        over=bucket.over,
        sources=source_shapes(bucket.sources),
        caution=bucket.caution,
        spare=bucket.spare,
        spare_filled=sum(source.stems for source in bucket.spare_sources),
        spare_sources=source_shapes(bucket.spare_sources),
    )
