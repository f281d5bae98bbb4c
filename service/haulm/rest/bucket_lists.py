"""GET /v1/bucket-lists/{date}, and what becomes of it: settled, taken back, what left told afterwards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Annotated, Any

from fastapi import APIRouter, Query
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.errors import NotAccepted
from haulm.farm.limits import MOST_STEMS
from haulm.farm.products import Product
from haulm.jobs.bucket_day.bucket_lines import Choices, DeliveryKey
from haulm.jobs.bucket_day.confirm_bucket_list import Settling, confirm_bucket_list, post_bucket_list
from haulm.jobs.bucket_day.confirmed_lists import settled_of
from haulm.jobs.bucket_day.correct_list import take_back
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.bucket_day.listed import WeekList, listed_settled, listed_week, tag_of
from haulm.jobs.bucket_day.refusals import SeenNotSaid
from haulm.jobs.bucket_day.see_week import see_week
from haulm.jobs.bucket_day.tell_expected import tell_expected
from haulm.jobs.bucket_day.tell_what_left import tell_what_left
from haulm.rest.reads import Day
from haulm.rest.seen import IfMatch, bare_tag
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
    """What one line gets: stems, whole bunches, what whole bunches leave over, and its spare beside them, loose.

    `state` is expected or settled. Of an expected line `yours` are the customer's, and it may become `up_to`.
    """

    line: str
    order: str
    line_class: str = Field(serialization_alias="class")
    product: str | None
    choice: str | None
    due: str
    state: str
    asked: int
    filled: int
    yours: int
    up_to: int
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


class DeliveryShape(Shape):
    """What leaves for one order on one day: expected until its last cut is written down, then settled, then left."""

    order: str
    due: str
    customer: str
    state: str
    etag: str
    last_cut: str | None
    can_settle: bool
    left: bool


class BucketListShape(Shape):
    """The lines due from a bucket day to the day before the next; `confirmed` where all of it is settled."""

    date: str
    first: str = Field(serialization_alias="from")
    last: str = Field(serialization_alias="to")
    confirmed: bool
    customers: list[CustomerShape]
    deliveries: list[DeliveryShape]


class DecidedLine(Ask):
    """What is decided of a line: fewer stems than the list has, the one product that fills it, or both."""

    line: str
    due: Day
    stems: int | None = Field(default=None, ge=0)
    product: str | None = Field(default=None, description="The line's own product or one it accepts instead.")


class NamedDelivery(Ask):
    """One delivery, with the tag it had when it was seen."""

    order: str
    due: Day
    etag: str | None = Field(default=None, description="Its tag; unless said, it was seen under the list's.")
    no_cut: bool = Field(default=False, description="No cut is made for it: it gets what is in the store.")


class SeenLine(Ask):
    """A line as it was seen; a line of the GET can be handed back as it is."""

    model_config = ConfigDict(extra="ignore")

    line: str
    due: Day
    filled: int | None = None
    stems: int | None = None


class ConfirmAsk(Ask):
    """Lines of which something is decided, and deliveries to settle; all others of these go as they stand."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 20}]}]}
    )

    lines: tuple[DecidedLine, ...] = ()
    evenly: tuple[str, ...] | None = Field(
        default=None, description="Products to share evenly within a class, not by rank; as kept unless said."
    )
    acknowledge: tuple[str, ...] = Field(
        default=(), description="Customers who may be sent too few a second bucket day running."
    )
    deliveries: tuple[NamedDelivery, ...] = Field(
        default=(), description="What is settled; each delivery that can be, unless some are named."
    )
    seen: tuple[SeenLine, ...] = Field(default=(), description="What was seen: a refusal then says what has changed.")
    far_ahead: bool = Field(default=False, description="A day more than a week ahead is meant.")


class TakeBackAsk(Ask):
    """Deliveries to take back; all of the list unless some are named."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"deliveries": []}]})

    deliveries: tuple[NamedDelivery, ...] = ()


class SharesAsk(Ask):
    """Products of a list that are shared evenly within a class from now on; of an empty list none are."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"evenly": ["lagurus"]}]})

    evenly: tuple[str, ...]


class TellAsk(Ask):
    """What is told as expected: with products shared evenly from now on, or as it was kept."""

    model_config = ConfigDict(json_schema_extra={"examples": [{}]})

    evenly: tuple[str, ...] | None = Field(default=None, description="Products to share evenly; as kept unless said.")


class ToldShape(Shape):
    """Whose letter was queued, and who has something expected and no address; keys of customers."""

    queued: list[str]
    no_address: list[str]


class LeftLine(Ask):
    """How many stems of a line left."""

    line: str
    stems: int = Field(ge=0, le=MOST_STEMS)


class LeftAsk(Ask):
    """What left of a delivery whose day is over; a line that is not named got nothing."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"order": "anna-weekly", "due": "2027-06-15", "lines": [{"line": "anna-1", "stems": 20}]},
            ]
        }
    )

    order: str
    due: Day
    lines: tuple[LeftLine, ...] = ()


class ListedShape(Shape):
    """A list as the job keeps it; `BucketListShape` describes it."""

    model_config = ConfigDict(extra="allow", frozen=True)


class DeliveredStemsShape(Shape):
    """How many stems it was about."""

    stems: int


NoCut = Annotated[
    list[str], Query(description="Deliveries for which no cut is made, as ORDER@DATE: what the store has for them.")
]


@router.get("/v1/bucket-lists/{day}", response_model=BucketListShape, dependencies=[only_for(Audience.HAND)])
def bucket_list(desk: TheDesk, day: Day, no_cut: NoCut = []) -> Any:  # noqa: B006 - the framework copies it
    """The bucket list of a bucket day: what is settled, and what is expected with what is theirs and may become.

    Theirs is what the match of all lines gives in a careful season (1 season in 20 gives less by any day), up to what
    it gives in a generous one (4 in 5 give less); known stems count in full. The ETag is a hash of every figure.
    """
    week = see_week(desk, day, Choices(no_cut=frozenset(map(_delivery_key, no_cut))))
    return JSONResponse(listed_week(week), headers={"ETag": f'"{tag_of(week)}"'})


@router.post("/v1/bucket-lists/{day}/confirm", response_model=BucketListShape, dependencies=[only_for(Audience.OWNER)])
def confirm(call: TheCall, day: Day, body: ConfirmAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Settle deliveries as they were seen: packed from the cool store, and each customer with an address is told.

    A delivery can be settled once its last cut is written down, at once where the store alone fills it, and by your
    word where no cut is made. Lines get fewer stems, or one product alone, where `lines` says so; products named in
    `evenly` are shared in whole bunches within a class. Whoever got too few on the bucket day before and would again
    has to be named in `acknowledge`.
    """
    if if_match is None:
        raise SeenNotSaid(what=f"The bucket list of {day}")
    said = body or ConfirmAsk()
    trimmed = {(line.line, line.due): line.stems for line in said.lines if line.stems is not None}
    kinds = {(line.line, line.due): Product.parse(line.product) for line in said.lines if line.product is not None}
    choices = Choices(
        trimmed=trimmed, kinds=kinds, evenly=_shared(said.evenly), acknowledged=frozenset(said.acknowledge)
    )
    settling = _settling(said, if_match)

    def confirmed(work: UnitOfWork) -> ListedShape:
        found = confirm_bucket_list(call.desk, work, day, choices, settling)
        post_bucket_list(work, found)
        return ListedShape(**listed_settled(found.week, found.keys))

    return call.answer(confirmed, is_judged=True)


@router.post(
    "/v1/bucket-lists/{day}/take-back", response_model=DeliveredStemsShape, dependencies=[only_for(Audience.OWNER)]
)
def taken_back(call: TheCall, day: Day, body: TakeBackAsk | None = None) -> JSONResponse:
    """Take settled deliveries back, all of the list unless some are named: nothing of them may have left."""
    named = _keys((body or TakeBackAsk()).deliveries)
    return call.answer(lambda work: DeliveredStemsShape(stems=take_back(call.desk, work, day, named)))


@router.post("/v1/bucket-lists/{day}/shares", response_model=BucketListShape, dependencies=[only_for(Audience.OWNER)])
def shares(call: TheCall, day: Day, body: SharesAsk) -> JSONResponse:
    """Keep which products of the list are shared evenly: the list, the page, letters and florists' links show it so."""
    evenly = frozenset(body.evenly)

    def kept(work: UnitOfWork) -> ListedShape:
        draft = keep_shares(call.desk, work, day, evenly)
        return ListedShape(**listed_week(WeekList(draft, settled_of(call.desk, day))))

    return call.answer(kept, is_judged=True)


@router.post("/v1/bucket-lists/{day}/expected", response_model=ToldShape, dependencies=[only_for(Audience.OWNER)])
def expected(call: TheCall, day: Day, body: TellAsk | None = None) -> JSONResponse:
    """Queue what is expected of this week's list to every customer on it, once a bucket day each."""
    evenly = _shared(None if body is None else body.evenly)

    def told(work: UnitOfWork) -> ToldShape:
        found = tell_expected(call.desk, work, day, evenly)
        return ToldShape(queued=list(found.queued), no_address=list(found.no_address))

    return call.answer(told, is_judged=True)


@router.post("/v1/bucket-lists/{day}/left", response_model=DeliveredStemsShape, dependencies=[only_for(Audience.OWNER)])
def left(call: TheCall, day: Day, body: LeftAsk) -> JSONResponse:
    """Say what left of a delivery whose day is over and of which nobody wrote it down."""
    stems = {line.line: line.stems for line in body.lines}

    def told(work: UnitOfWork) -> DeliveredStemsShape:
        tell_what_left(call.desk, work, day, (body.order, body.due), stems)
        return DeliveredStemsShape(stems=sum(stems.values()))

    return call.answer(told)


def _settling(said: ConfirmAsk, if_match: str) -> Settling:
    seen = {(one.line, one.due): one.filled if one.filled is not None else one.stems for one in said.seen}
    no_cut = frozenset(_keys(one for one in said.deliveries if one.no_cut))
    return Settling(
        deliveries={(one.order, one.due): None if one.etag is None else bare_tag(one.etag) for one in said.deliveries},
        tag=bare_tag(if_match),
        seen={key: stems for key, stems in seen.items() if stems is not None},
        shown=Choices(no_cut=no_cut),
        far_ahead=said.far_ahead,
    )


def _shared(evenly: Iterable[str] | None) -> frozenset[str] | None:
    return None if evenly is None else frozenset(evenly)


def _keys(named: Iterable[NamedDelivery]) -> list[DeliveryKey]:
    return [(one.order, one.due) for one in named]


def _delivery_key(text: str) -> DeliveryKey:
    order, _, due = text.rpartition("@")
    try:
        return order, dt.date.fromisoformat(due)
    except ValueError:
        raise NotAccepted(where="no_cut", found=f"'{text[:60]}'", accepted="ORDER@DATE, a delivery") from None
