"""After a bucket list: corrections, the round, claims, how well customers are served, and the season's end."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.limits import MOST, MOST_STEMS
from haulm.jobs.bucket_day.after_the_list import Claim, Claimed, claims, make_claim
from haulm.jobs.bucket_day.correct_list import Correction, correct_list
from haulm.jobs.bucket_day.deliver_list import deliver_list
from haulm.jobs.bucket_day.fill_rate import fill_rate
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.season_end import BatchYear, season_end
from haulm.rest.reads import Day
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["bucket lists"])

_EXAMPLE: dict[str, Any] = {"line": "anna-1", "due": "2027-06-15", "stems": 15}


class _LineAsk(Ask):
    """A settled line, and a number of its stems."""

    line: str
    due: Day
    stems: int = Field(ge=0, le=MOST_STEMS)


class CorrectAsk(_LineAsk):
    """A settled line that gets more or fewer stems after all, and why."""

    model_config = ConfigDict(json_schema_extra={"examples": [{**_EXAMPLE, "reason": "thrown"}]})

    reason: str = Field(
        max_length=500, description=f"For fewer one of: {', '.join(Reason)}; for more, from the store, any words."
    )
    note: str = Field(default="", max_length=500)


class DeliveredAsk(Ask):
    """Which day's stems have left; all that is due by today, or else the next, unless said."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"due": "2027-06-15"}]})

    due: Day | None = None


class ClaimAsk(_LineAsk):
    """What a customer says was wrong, and what is credited for it."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{**_EXAMPLE, "reason": "heads bruised", "credit_minor": 450}]}
    )

    reason: str = Field(max_length=500)
    credit_minor: int | None = Field(
        default=None, ge=0, le=MOST, description="What is credited; what the stems cost unless said."
    )


class DoneShape(Shape):
    """How many stems it was about."""

    stems: int


class ClaimShape(Shape):
    """A claim, and the batches its stems can have come from."""

    number: int
    line: str
    due: str
    customer: str
    stems: int
    reason: str
    credit_minor: int
    on: str
    batches: list[str]


class ClaimsShape(Shape):
    """Every claim, newest first."""

    claims: list[ClaimShape]


class ServedShape(Shape):
    """One customer on one bucket day; `instead` is what was sent in place of what was asked."""

    customer: str
    date: str
    asked: int
    sent: int
    instead: int
    share: float


class FillRateShape(Shape):
    """How well customers were served, newest first."""

    days: list[ServedShape]


class BatchYearShape(Shape):
    """What one batch gave in a year."""

    batch: str
    variety: str
    cut: int
    wasted: int
    sold: int
    sold_share: float | None
    metres: float | None
    stems_by_metre: float | None


class CustomerYearShape(Shape):
    """What one customer asked and got in a year."""

    customer: str
    asked: int
    sent: int


class SeasonShape(Shape):
    """A year by batch and by customer."""

    year: int
    batches: list[BatchYearShape]
    customers: list[CustomerYearShape]


@router.post(
    "/v1/bucket-lists/{day}/correct", status_code=201, response_model=DoneShape, dependencies=[only_for(Audience.OWNER)]
)
def correct(call: TheCall, day: Day, body: CorrectAsk) -> JSONResponse:
    """Correct a settled line until the van leaves: up from the cool store, or down for a reason that says where to.

    Fewer because they were `never cut` takes them off the record of their cut, so that they stand in the field again;
    `thrown` is waste; `back in the store` is just that.
    """
    correction = Correction(body.line, body.due, body.stems, _reason(body.reason), body.note)

    def corrected(work: UnitOfWork) -> DoneShape:
        correct_list(call.desk, work, day, correction)
        return DoneShape(stems=body.stems)

    return call.answer(corrected, status=201)


@router.post("/v1/bucket-lists/{day}/delivered", response_model=DoneShape, dependencies=[only_for(Audience.HAND)])
def delivered(call: TheCall, day: Day, body: DeliveredAsk | None = None) -> JSONResponse:
    """Write down that the van has left: what was packed has been delivered."""
    due = (body or DeliveredAsk()).due
    return call.answer(lambda work: DoneShape(stems=deliver_list(call.desk, work, day, due)))


@router.post("/v1/claims", status_code=201, response_model=DoneShape, dependencies=[only_for(Audience.OWNER)])
def claim(call: TheCall, body: ClaimAsk) -> JSONResponse:
    """Write down what a customer says was wrong with the stems of a settled line."""
    said = Claimed(body.line, body.due, body.stems, body.reason)

    def claimed(work: UnitOfWork) -> DoneShape:
        make_claim(call.desk, work, said, body.credit_minor)
        return DoneShape(stems=body.stems)

    return call.answer(claimed, status=201)


@router.get("/v1/claims", dependencies=[only_for(Audience.OWNER), kept()])
def all_claims(desk: TheDesk) -> ClaimsShape:
    """Every claim, newest first, traced back to the batches by the book of stems."""
    return ClaimsShape(claims=[_claim(found) for found in claims(desk)])


@router.get("/v1/fill-rate", dependencies=[only_for(Audience.OWNER), kept()])
def served(
    desk: TheDesk, customer: Annotated[str | None, Query(description="One customer; all unless said.")] = None
) -> FillRateShape:
    """What was asked, sent and sent instead, by customer and bucket day."""
    return FillRateShape(
        days=[
            ServedShape(
                customer=one.customer,
                date=one.day.isoformat(),
                asked=one.asked,
                sent=one.sent,
                instead=one.instead,
                share=round(one.share, 4),
            )
            for one in fill_rate(desk, customer)
        ]
    )


@router.get("/v1/season-end", dependencies=[only_for(Audience.OWNER), kept()])
def season(
    desk: TheDesk, year: Annotated[int | None, Query(ge=1900, le=2999, description="This year unless said.")] = None
) -> SeasonShape:
    """A year looked back on: what each batch gave, by bed metre, what was wasted and sold, and to whom."""
    found = season_end(desk, year or desk.today().year)
    customers = [CustomerYearShape(customer=one.customer, asked=one.asked, sent=one.sent) for one in found.customers]
    return SeasonShape(year=found.year, batches=[_batch(one) for one in found.batches], customers=customers)


def _reason(text: str) -> str:
    """A reason as programs may write it, such as never_cut, in its own words; other words as they are."""
    named = Reason.__members__.get(text.strip().upper().replace(" ", "_"))
    return text if named is None else str(named)


def _claim(found: Claim) -> ClaimShape:
    return ClaimShape(
        number=found.number,
        line=found.line,
        due=found.due.isoformat(),
        customer=found.customer,
        stems=found.stems,
        reason=found.reason,
        credit_minor=found.credit_minor,
        on=found.on.isoformat(),
        batches=list(found.batches),
    )


def _batch(found: BatchYear) -> BatchYearShape:
    return BatchYearShape(
        batch=found.batch,
        variety=found.variety,
        cut=found.cut,
        wasted=found.wasted,
        sold=found.sold,
        sold_share=None if found.sold_share is None else round(found.sold_share, 4),
        metres=found.metres,
        stems_by_metre=None if found.by_metre is None else round(found.by_metre, 1),
    )
