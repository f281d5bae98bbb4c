"""GET /v1/bucket-lists/{date} and POST .../confirm."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.products import Product
from haulm.jobs.bucket_lines import Choices
from haulm.jobs.confirm_bucket_list import confirm_bucket_list, post_bucket_list
from haulm.jobs.confirmed_lists import confirmed_bucket_list
from haulm.jobs.draft_bucket_list import draft_bucket_list
from haulm.jobs.listed import listed_bucket_list
from haulm.rest.reads import Day
from haulm.rest.sources import SourceShape
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["bucket lists"])


class ShareShape(Shape):
    """The working of an even share: the part in proportion, and bunches that came by turn."""

    exact: float
    stems: int
    extra_bunches: int


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
    share: ShareShape | None
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


class DecidedLine(Ask):
    """What is decided of a line: fewer stems than the list has, the one product that fills it, or both."""

    line: str
    due: Day
    stems: int | None = Field(default=None, ge=0)
    product: str | None = Field(default=None, description="The line's own product or one it accepts instead.")


class ConfirmAsk(Ask):
    """Lines of which something is decided; all others are confirmed as they stand."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 20}]}]}
    )

    lines: tuple[DecidedLine, ...] = ()
    evenly: tuple[str, ...] = Field(default=(), description="Products to share evenly within a class, not by rank.")
    acknowledge: tuple[str, ...] = Field(
        default=(), description="Customers who may be sent too few a second bucket day running."
    )


class ListedShape(Shape):
    """A list as the job keeps it; `BucketListShape` describes it."""

    model_config = ConfigDict(extra="allow", frozen=True)


@router.get("/v1/bucket-lists/{day}", response_model=BucketListShape, dependencies=[only_for(Audience.HAND)])
def bucket_list(desk: TheDesk, day: Day) -> Any:
    """The bucket list of a bucket day: as confirmed, or as the match would fill it in a careful season.

    A careful season is one that four seasons in five have reached by any day; known stems count in full.
    """
    confirmed = confirmed_bucket_list(desk, day)
    if confirmed is not None:
        return JSONResponse(dict(confirmed))
    return JSONResponse(listed_bucket_list(draft_bucket_list(desk, day), confirmed=False))


@router.post("/v1/bucket-lists/{day}/confirm", response_model=BucketListShape, dependencies=[only_for(Audience.OWNER)])
def confirm(call: TheCall, day: Day, body: ConfirmAsk | None = None) -> JSONResponse:
    """Confirm the list: it is frozen, posted to both books, and each customer with an address is told.

    Lines get fewer stems, or one product alone, where `lines` says so; products named in `evenly` are shared in whole
    bunches within a class.
    Whoever got too few on the bucket day before and would again has to be named in `acknowledge`.
    """
    said = body or ConfirmAsk()
    trimmed = {(line.line, line.due): line.stems for line in said.lines if line.stems is not None}
    kinds = {(line.line, line.due): Product.parse(line.product) for line in said.lines if line.product is not None}
    choices = Choices(
        trimmed=trimmed, kinds=kinds, evenly=frozenset(said.evenly), acknowledged=frozenset(said.acknowledge)
    )

    def confirmed(work: UnitOfWork) -> ListedShape:
        found = confirm_bucket_list(call.desk, work, day, choices)
        listed = listed_bucket_list(found, confirmed=True)
        post_bucket_list(work, found, listed)
        return ListedShape(**listed)

    return call.answer(confirmed, is_judged=True)
