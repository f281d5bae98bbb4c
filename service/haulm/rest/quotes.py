"""POST /v1/quotes, and its steps: hold, contract, release."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.advice.pieces import PieceAsked
from haulm.farm.orders import Order, OrderLine
from haulm.farm.words import OrderKind
from haulm.farm_folder.cells import row_from_values
from haulm.jobs.hold_quote import Promised, contract_quote, hold_quote, release_quote
from haulm.jobs.quote_wedding import Quote, QuoteAsked, QuotedLine, quote_wedding
from haulm.rest.falls import FallShape, fall_shapes
from haulm.rest.reads import Day
from haulm.rest.wire import Ask, Shape, TheCall
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["quotes"])

_QUOTE_EXAMPLES: list[Any] = [
    {"date": "2027-08-14", "pieces": [{"piece": "bridal bouquet", "count": 1, "colours": ["white", "cream"]}]},
    {"date": "2027-08-14", "customer": "anna", "kind": "one_off", "lines": [{"product": "lagurus", "stems": 40}]},
]
_MOST_LINES = 500


class PieceAsk(Ask):
    """So many of one piece."""

    piece: str
    count: int = Field(ge=1, le=100_000)
    colours: tuple[str, ...] = Field(default=(), max_length=_MOST_LINES)


class QuoteAsk(Ask):
    """Either pieces, turned into stems by the farm's recipes, or lines with the columns of order_lines.csv."""

    model_config = ConfigDict(json_schema_extra={"examples": _QUOTE_EXAMPLES})

    date: Day = Field(description="The day of the wedding or event.")
    due: Day | None = Field(default=None, description="The day the stems leave; two days before unless said.")
    customer: str | None = None
    kind: OrderKind = OrderKind.WEDDING
    confidence: float | None = Field(default=None, gt=0, lt=1)
    spare_percent: float | None = Field(default=None, ge=0, le=100)
    pieces: tuple[PieceAsk, ...] = Field(default=(), max_length=_MOST_LINES)
    lines: tuple[dict[str, Any], ...] = Field(default=(), max_length=_MOST_LINES)


class HoldAsk(Ask):
    """Through which day to hold; `override` holds in spite of a refusal, and that is written down."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"until": "2027-08-01", "confidence": 0.8}]})

    until: Day
    confidence: float | None = Field(default=None, gt=0, lt=1)
    override: bool = False


class ContractAsk(Ask):
    """How sure it has to be; `override` contracts in spite of a refusal, and that is written down."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"confidence": 0.8}]})

    confidence: float | None = Field(default=None, gt=0, lt=1)
    override: bool = False


class QuotedLineShape(Shape):
    """One line of a quote."""

    line: str
    product: str | None
    choice: str | None
    pieces: list[str]
    stems: int
    spare: int
    free_to_promise: int
    confidence: float
    price_minor: int


class QuoteShape(Shape):
    """A quote; nothing is held yet. Confidence is that of a hold made today."""

    id: str
    date: str
    due: str
    customer: str
    confidence_asked: float
    lines: list[QuotedLineShape]
    order_confidence: float
    delivery_minor: int
    price_minor: int
    currency: str
    cautions: list[str]
    notes: list[str]


class PromisedLineShape(Shape):
    """How sure a promised line is."""

    line: str
    confidence: float


class PromiseShape(Shape):
    """A promise that was made.

    `displaced` are less sure than before and keep their level; `falls` were taken below it, by the owner's override.
    """

    id: str
    status: str
    hold_until: str | None
    accepted: bool
    overridden: bool
    confidence_asked: float
    order_confidence: float
    lines: list[PromisedLineShape]
    displaced: list[FallShape]
    falls: list[FallShape]


class ReleaseShape(Shape):
    """An order whose stems were let go."""

    id: str
    status: str


@router.post("/v1/quotes", status_code=201, response_model=QuoteShape, dependencies=[only_for(Audience.OWNER)])
def quote(call: TheCall, body: QuoteAsk) -> JSONResponse:
    """Quote a wedding, an event or a one-off: stems by line, how sure each is and all together, and a price.

    The wedding's stems leave two days before it unless `due` says otherwise. The price is what the farm's own prices
    come to; it is not legal or tax advice.
    """
    asked = QuoteAsked(
        event_date=body.date,
        pieces=tuple(PieceAsked(p.piece, p.count, tuple(c.lower() for c in p.colours)) for p in body.pieces),
        lines=tuple(_line(values) for values in body.lines),
        customer=body.customer,
        kind=body.kind,
        due_date=body.due,
        confidence=body.confidence,
        spare_percent=body.spare_percent,
    )

    def quoted(work: UnitOfWork) -> QuoteShape:
        return _quote(quote_wedding(call.desk, work, asked), work.farm.site.currency)

    return call.answer(quoted, status=201, is_judged=True)


@router.post("/v1/quotes/{quote_id}/hold", response_model=PromiseShape, dependencies=[only_for(Audience.OWNER)])
def hold(call: TheCall, quote_id: str, body: HoldAsk) -> JSONResponse:
    """Hold a quote's stems through a day, if each line is sure enough and no earlier promise falls below its level.

    A refusal (409) names whose confidence would fall to what.
    """
    return call.answer(
        lambda work: _promise(
            hold_quote(call.desk, work, quote_id, body.until, level=body.confidence, override=body.override)
        ),
        is_judged=True,
    )


@router.post("/v1/quotes/{quote_id}/contract", response_model=PromiseShape, dependencies=[only_for(Audience.OWNER)])
def contract(call: TheCall, quote_id: str, body: ContractAsk | None = None) -> JSONResponse:
    """Contract a quote or a hold, at the place of its kind; refused as a hold is."""
    said = body or ContractAsk()
    return call.answer(
        lambda work: _promise(contract_quote(call.desk, work, quote_id, level=said.confidence, override=said.override)),
        is_judged=True,
    )


@router.post("/v1/quotes/{quote_id}/release", response_model=ReleaseShape, dependencies=[only_for(Audience.OWNER)])
def release(call: TheCall, quote_id: str) -> JSONResponse:
    """Let an order's stems go."""
    return call.answer(lambda work: _release(release_quote(call.desk, work, quote_id)))


def _release(order: Order) -> ReleaseShape:
    return ReleaseShape(id=order.key, status=order.status)


def _line(values: dict[str, Any]) -> OrderLine:
    """A line of a quote; key and order are given when it is written."""
    line: OrderLine = row_from_values("order_lines", {**values, "key": "line", "order": "quote"})
    return line


def _quote(quote: Quote, currency: str) -> QuoteShape:
    notes = [
        "Forecasts are estimates, not guarantees.",
        "Prices are the farm's own; deposits, contracts and tax follow local law.",
    ]
    order = quote.order
    return QuoteShape(
        id=order.key,
        date=(order.event_date or order.due_date).isoformat(),
        due=order.due_date.isoformat(),
        customer=order.customer,
        confidence_asked=quote.level,
        lines=[_quoted_line(line) for line in quote.lines],
        order_confidence=round(quote.order_confidence, 6),
        delivery_minor=quote.delivery_minor,
        price_minor=quote.total_minor,
        currency=currency,
        cautions=list(quote.cautions),
        notes=notes,
    )


def _quoted_line(quoted: QuotedLine) -> QuotedLineShape:
    line = quoted.line
    return QuotedLineShape(
        line=line.key,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        pieces=list(quoted.pieces),
        stems=line.stems,
        spare=line.spare,
        free_to_promise=quoted.free_to_promise,
        confidence=round(quoted.confidence, 6),
        price_minor=quoted.price_minor,
    )


def _promise(promise: Promised) -> PromiseShape:
    order, verdict = promise.order, promise.verdict
    return PromiseShape(
        id=order.key,
        status=order.status,
        hold_until=None if order.hold_until is None else order.hold_until.isoformat(),
        accepted=True,
        overridden=promise.overridden,
        confidence_asked=verdict.level,
        order_confidence=round(verdict.joint, 6),
        lines=[PromisedLineShape(line=o.line.line, confidence=round(o.confidence, 6)) for o in verdict.new],
        displaced=fall_shapes(verdict.displaced),
        falls=fall_shapes(verdict.falls),
    )
