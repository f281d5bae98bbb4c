"""The week's list to the florists, what they answer, and the grower's word on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.weeks import Week
from haulm.jobs.bucket_day.told_week import ToldDelivery
from haulm.jobs.desk.seen import Seen, check_seen
from haulm.jobs.florists.florist_links import end_links
from haulm.jobs.florists.florist_page import FloristPage, Offered, florist_page, see_told_week
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.reply_seen import look_at_reply, replies_shown
from haulm.jobs.florists.reply_to_list import (
    AskKind,
    FloristAsk,
    answers_to_deliveries,
    ask_in_words,
    reply_to_list,
)
from haulm.jobs.florists.send_availability import lists_to_send, queue_lists
from haulm.rest.reads import Day
from haulm.rest.seen import IfMatch, SeenAsk, seen_under
from haulm.rest.wire import Ask, Call, OverridingAsk, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.asking import caller_of
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["florists"])

_MOST_ASKS = 200


class SentShape(Shape):
    """How many letters were queued."""

    queued: int


class OneAsk(Ask):
    """One thing a florist asks; what is named depends on its kind."""

    kind: AskKind
    product: str | None = Field(default=None, max_length=100)
    bunches: int | None = Field(default=None, ge=0, le=100_000)
    line: str | None = Field(default=None, max_length=100)
    stems: int | None = Field(default=None, ge=0, le=1_000_000)
    until: str | None = Field(default=None, max_length=10, description="The last week of a pause, such as 2027-W30.")
    order: str | None = Field(
        default=None, max_length=100, description="Of the delivery that is answered to, its order."
    )
    due: Day | None = Field(default=None, description="The day on which that delivery leaves.")


class AnswerAsk(Ask):
    """A florist's answer for the coming bucket day, or for another week; or to one delivery of this week."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"asks": [{"kind": "more", "product": "lagurus", "bunches": 2}]}]}
    )

    asks: tuple[OneAsk, ...] = Field(max_length=_MOST_ASKS)
    note: str = Field(default="", max_length=500)
    week: str | None = Field(
        default=None, max_length=10, description="One of `weeks`; the coming bucket day's unless said."
    )


class HeardShape(Shape):
    """Whether an answer came in time; a late one is kept all the same."""

    in_time: bool


class ReplyShape(Shape):
    """An answer that waits for the grower's word."""

    id: int
    customer: str
    week: str
    late: bool
    asks: list[str]
    note: str
    figures: dict[str, str] = Field(description="What a word on it rests on; may be handed back as `seen`.")
    etag: str = Field(description="A hash of the figures; goes with a word on it as If-Match.")


class RepliesShape(Shape):
    """The answers that wait, oldest first."""

    replies: list[ReplyShape]


class WordAsk(OverridingAsk, SeenAsk):
    """The grower's word: fewer bunches by the place of the ask (from 0), a note, and whether to override."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"bunches": {"0": 1}, "note": "One bunch is sure."}]})

    bunches: dict[int, Annotated[int, Field(ge=0, le=100_000)]] = Field(default_factory=dict, max_length=_MOST_ASKS)
    note: str = Field(default="", max_length=500)


class OutcomesShape(Shape):
    """What came of each ask."""

    outcomes: list[str]


class OfferedShape(Shape):
    """A kind on offer: `bunches` that are sure, and the `hope_bunches` that may be hoped for, not promised."""

    product: str
    name: str
    caution: str | None
    bunches: int
    hope_bunches: int
    bunch_stems: int
    length: str
    price_minor: int


class OwnLineShape(Shape):
    """A line that the florist has ordered; one of a standing order may be changed for once."""

    line: str
    asked: str
    due: str
    stems: int
    standing: bool


class ToldLineShape(Shape):
    """A line of this week as its customer is told it: `words` says the figures, which are those of the bucket list."""

    line: str
    asked: str
    ordered: int
    yours: int
    up_to: int
    bunches: int
    why: str
    words: str


class ToldDeliveryShape(Shape):
    """A delivery of this week: settled, or expected with the day of the next look and her last answer to it."""

    order: str
    due: str
    state: str
    left: bool
    next_look: str | None
    answer: str | None
    lines: list[ToldLineShape]


class ListShape(Shape):
    """What one florist may see: of the week asked for, and of the deliveries of the list that runs."""

    farm: str
    week: str
    order_by: str
    late: bool
    currency: str
    offered: list[OfferedShape]
    hoped: list[OfferedShape]
    coming: dict[str, str]
    own: list[OwnLineShape]
    weeks: list[str]
    deliveries: list[ToldDeliveryShape]


class LinksShape(Shape):
    """Whether the links that were made before still open anything."""

    valid: bool


@router.post("/v1/availability-lists", response_model=SentShape, dependencies=[only_for(Audience.OWNER)])
def send_lists(call: TheCall) -> JSONResponse:
    """Queue the list of the coming bucket day to every florist with an address; once a week and florist."""
    # Outside the transaction: what is sure asks the match, and others wait for the farm while one is open.
    pages = lists_to_send(call.desk)
    return call.answer(lambda work: SentShape(queued=queue_lists(work, pages)))


@router.get("/v1/florist/{token}", dependencies=[only_for(Audience.FLORIST)])
def own_list(request: Request, desk: TheDesk, token: str, week: str | None = None) -> ListShape:
    """What is sure for the coming week, or another of `weeks`, what comes later, and what leaves this week for her."""
    customer = _customer(request)
    answers = {key: said for key, (said, _) in answers_to_deliveries(desk, customer).items()}
    found = florist_page(desk, customer, None if week is None else Week.parse(week))
    return _list(found, [_told(one, answers.get(one.key)) for one in see_told_week(desk, customer)])


@router.post("/v1/florist/{token}/answers", response_model=HeardShape, dependencies=[only_for(Audience.FLORIST)])
def answer(request: Request, call: TheCall, token: str, body: AnswerAsk) -> JSONResponse:
    """A florist's answer; it is kept as it was given and changes nothing until the grower accepts it."""
    customer = _customer(request)
    asks = [_ask(one) for one in body.asks]
    week = None if body.week is None else Week.parse(body.week)

    def heard(work: UnitOfWork) -> HeardShape:
        return HeardShape(in_time=reply_to_list(call.desk, work, customer, asks, body.note, week))

    return call.answer(heard, status=201, is_judged=True)


@router.get("/v1/replies", dependencies=[only_for(Audience.OWNER)])
def replies(desk: TheDesk) -> RepliesShape:
    """The florists' answers that wait for the grower's word; a plain yes waits for nothing."""
    farm = desk.store.farm()
    return RepliesShape(
        replies=[
            ReplyShape(
                id=found.number,
                customer=found.customer,
                week=str(found.week),
                late=found.is_late,
                asks=[ask_in_words(ask, farm) for ask in found.asks],
                note=found.note,
                figures=dict(shown.figures),
                etag=shown.tag,
            )
            for found, shown in replies_shown(desk)
        ]
    )


ReplyId = Annotated[int, Path(ge=1, le=2**31 - 1)]


@router.post("/v1/replies/{reply}/accept", response_model=OutcomesShape, dependencies=[only_for(Audience.OWNER)])
def accept(call: TheCall, reply: ReplyId, body: WordAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Accept an answer, with fewer bunches where `bunches` says so; judged by the match as every promise is."""
    said = body or WordAsk()
    return _judged(call, _word(reply, said, accept=True), seen_under(if_match, said))


@router.post("/v1/replies/{reply}/decline", response_model=OutcomesShape, dependencies=[only_for(Audience.OWNER)])
def decline(call: TheCall, reply: ReplyId, body: WordAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Decline an answer; the standing order stands."""
    said = body or WordAsk()
    return _judged(call, _word(reply, said, accept=False), seen_under(if_match, said))


@router.post("/v1/customers/{customer}/end-links", response_model=LinksShape, dependencies=[only_for(Audience.OWNER)])
def end(call: TheCall, customer: str) -> JSONResponse:
    """Make every personal link of a customer worth nothing; the next letter carries a new one."""

    def ended(work: UnitOfWork) -> LinksShape:
        end_links(work, customer)
        return LinksShape(valid=False)

    return call.answer(ended)


def _word(reply: int, said: WordAsk, *, accept: bool) -> Word:
    return Word(reply, accept, said.bunches, said.note, said.overriding)


def _judged(call: Call, word: Word, seen: Seen) -> JSONResponse:
    def judged(work: UnitOfWork) -> OutcomesShape:
        check_seen(work, seen, look_at_reply(call.desk, word.reply))
        return OutcomesShape(outcomes=list(judge_reply(call.desk, work, word)))

    return call.answer(judged, is_judged=True)


def _customer(request: Request) -> str:
    customer = caller_of(request).customer
    assert customer is not None, "a route for a florist has one"
    return customer


def _ask(one: OneAsk) -> FloristAsk:
    until = None if one.until is None else Week.parse(one.until, where="until")
    return FloristAsk(one.kind, one.product, one.bunches, one.line, one.stems, until, one.order, one.due)


def _list(found: FloristPage, deliveries: list[ToldDeliveryShape]) -> ListShape:
    coming: Mapping[str, Any] = {crop.name: str(week) for crop, week in found.coming}
    return ListShape(
        farm=found.farm,
        week=str(found.week),
        order_by=found.order_by.isoformat(timespec="minutes"),
        late=found.is_late,
        currency=found.currency,
        offered=[_offered(one) for one in found.offered],
        hoped=[_offered(one) for one in found.hoped],
        coming=dict(coming),
        own=[
            OwnLineShape(
                line=line.line,
                asked=line.asked,
                due=line.due.isoformat(),
                stems=line.stems,
                standing=line.is_standing,
            )
            for line in found.own
        ],
        weeks=[str(week) for week, _ in found.weeks],
        deliveries=deliveries,
    )


def _told(one: ToldDelivery, answer: str | None) -> ToldDeliveryShape:
    return ToldDeliveryShape(
        order=one.order,
        due=one.due.isoformat(),
        state=one.state,
        left=one.has_left,
        next_look=None if one.next_look is None else one.next_look.isoformat(),
        answer=answer,
        lines=[
            ToldLineShape(
                line=line.line,
                asked=line.asked,
                ordered=line.ordered,
                yours=line.yours,
                up_to=line.up_to,
                bunches=line.bunches,
                why=line.why,
                words=line.words,
            )
            for line in one.lines
        ],
    )


def _offered(one: Offered) -> OfferedShape:
    return OfferedShape(
        product=str(one.product),
        name=one.crop.name,
        caution=one.crop.caution,
        bunches=one.bunches,
        hope_bunches=one.hope_bunches,
        bunch_stems=one.crop.bunch_stems,
        length=one.length,
        price_minor=one.price_minor,
    )
