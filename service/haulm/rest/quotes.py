"""Quotes: POST /v1/quotes, the list, one with its whole life, and its steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from fastapi import APIRouter, Response
from fastapi.responses import JSONResponse

from haulm.errors import NotAccepted
from haulm.farm.limits import TEXT_SENTENCE, is_text
from haulm.farm.orders import Order
from haulm.jobs.desk.seen import check_seen
from haulm.jobs.promises.answer_anew import anew_ready, answer_anew
from haulm.jobs.promises.change_quote import QuoteChanged, change_quote, change_ready
from haulm.jobs.promises.end_quote import cancel_quote, fulfil_order, release_quote
from haulm.jobs.promises.final_numbers import final_numbers
from haulm.jobs.promises.hold_quote import DepositNoted, Promised, contract_quote, hold_quote
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import quote_ready, quote_wedding
from haulm.jobs.promises.show_quote import list_quotes, show_quote
from haulm.jobs.promises.step_seen import look_at_quote, quote_shown
from haulm.jobs.promises.take_back_part import take_back_part
from haulm.rest.derived import old_name
from haulm.rest.falls import FallShape, fall_shapes
from haulm.rest.quote_asks import (
    AnewAsk,
    CancelAsk,
    ChangeAsk,
    ContractAsk,
    FinalNumbersAsk,
    HoldAsk,
    QuoteAsk,
    asked_of,
    pieces_of,
)
from haulm.rest.quote_shapes import (
    ChangedShape,
    QuoteLifeShape,
    QuoteListShape,
    QuoteShape,
    VersionShape,
    life_shape,
    quote_shape,
    row_shape,
)
from haulm.rest.seen import IfMatch, SeenAsk, seen_under
from haulm.rest.wire import Call, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["quotes"])

_T = TypeVar("_T", bound=Shape)


class PromisedLineShape(Shape):
    """How sure a promised line is."""

    line: str
    confidence: float


class PromiseShape(Shape):
    """A promise that was made.

    `displaced` are less sure than before and keep their floor; `falls` were taken below it, by the owner's override. Of
    a hold: whether it could be contracted now, and what would fall if it were.
    """

    id: str
    status: str
    hold_until: str | None
    accepted: bool
    overridden: bool
    level: float
    order_confidence: float
    lines: list[PromisedLineShape]
    displaced: list[FallShape]
    falls: list[FallShape]
    could_be_contracted: bool | None
    contracting_would_lower: list[FallShape]
    confidence_asked: float = old_name("level")


class ReleaseShape(Shape):
    """An order at the end of its life: its stems were let go, or they left."""

    id: str
    status: str


@router.get("/v1/quotes", dependencies=[only_for(Audience.OWNER), kept()])
def quotes(desk: TheDesk) -> QuoteListShape:
    """Every quote, hold and contract, the earliest event first, with what should be done about it."""
    return QuoteListShape(quotes=[row_shape(found) for found in list_quotes(desk)])


@router.get("/v1/quotes/{quote_id}", dependencies=[only_for(Audience.OWNER)])
def one_quote(desk: TheDesk, quote_id: str, response: Response) -> QuoteLifeShape:
    """One quote with its whole life: every version, every step, every recheck. The customer is named by key.

    The ETag is a hash of its `figures`, which its steps rest on: send it with a step as If-Match.
    """
    sheet = show_quote(desk, quote_id)
    shown = quote_shown(sheet, desk.plan())
    response.headers["ETag"] = f'"{shown.tag}"'
    return life_shape(sheet, shown.figures)


@router.post("/v1/quotes", status_code=201, response_model=QuoteShape, dependencies=[only_for(Audience.OWNER)])
def quote(call: TheCall, body: QuoteAsk) -> JSONResponse:
    """Quote a wedding, an event or a one-off: stems by line, how sure each is and all together, and a price.

    Pieces become stems by role: each is served by its own kinds in the palette first, then by those of neighbouring
    roles, which are told apart. Lines are what they name, unless `stand_ins` lets kinds of the same role and palette
    in behind them. Where all of it together is not sure enough, `largest` is the largest size that is. The wedding's
    stems leave two days before it unless `due` says otherwise or no cut day can serve that. The price is what the
    farm's own prices come to; it is not legal or tax advice.
    """
    asked = asked_of(body)
    ready = quote_ready(call.desk, asked)

    def quoted(work: UnitOfWork) -> QuoteShape:
        return quote_shape(quote_wedding(call.desk, work, asked, ready), work.farm.site.currency)

    return call.answer(quoted, status=201, is_judged=True)


@router.post("/v1/quotes/{quote_id}/hold", response_model=PromiseShape, dependencies=[only_for(Audience.OWNER)])
def hold(call: TheCall, quote_id: str, body: HoldAsk, if_match: IfMatch = None) -> JSONResponse:
    """Hold a quote's stems through a day, if each line is sure enough and no earlier promise falls below its floor.

    A refusal (409) names whose confidence would fall from what to what, the number that would pass where one was asked,
    and the sowing that would close it first. With `part` it is that part of the quote, see `places`.
    """
    step = _Step(call, quote_id, if_match, body)
    if body.part is not None:
        part = PartStep(body.single_part(), until=body.until, override=body.overriding)
        return step.judged(lambda work: _promise(promise_part(call.desk, work, quote_id, part)))
    return step.judged(
        lambda work: _promise(
            hold_quote(call.desk, work, quote_id, body.until, level=body.confidence, override=body.overriding)
        )
    )


@router.post("/v1/quotes/{quote_id}/contract", response_model=PromiseShape, dependencies=[only_for(Audience.OWNER)])
def contract(call: TheCall, quote_id: str, body: ContractAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Contract a quote or a hold, at the place of its kind; refused as a hold is, or where the hold is over.

    Without `part` it is the order as it stands, and nothing is sown. `stands` is what may be promised today alone;
    `sown` is that with what is sown for it, which enters the plan: also where the smaller part is contracted already.
    """
    said = body or ContractAsk()
    paid_on = said.deposit_on or call.desk.today()
    noted = None if said.deposit_minor is None else DepositNoted(said.deposit_minor, paid_on)
    if said.part is not None:
        part = PartStep(said.single_part(), override=said.overriding, deposit=noted)
        return _Step(call, quote_id, if_match, said).judged(
            lambda work: _promise(promise_part(call.desk, work, quote_id, part))
        )
    return _Step(call, quote_id, if_match, said).judged(
        lambda work: _promise(
            contract_quote(call.desk, work, quote_id, level=said.confidence, override=said.overriding, deposit=noted)
        )
    )


@router.post("/v1/quotes/{quote_id}/change", response_model=ChangedShape, dependencies=[only_for(Audience.OWNER)])
def change(call: TheCall, quote_id: str, body: ChangeAsk, if_match: IfMatch = None) -> JSONResponse:
    """Write another version of a quote; those before it are kept, and what changed is listed.

    What is held or contracted is judged as a hold is, with the new lines in the place of the old.
    """
    asked, override = asked_of(body), body.overriding
    ready = change_ready(call.desk, quote_id, asked)
    return _Step(call, quote_id, if_match, body).judged(
        lambda work: changed_shape(change_quote(call.desk, work, quote_id, asked, override=override, ready=ready))
    )


@router.post("/v1/quotes/{quote_id}/anew", response_model=ChangedShape, dependencies=[only_for(Audience.OWNER)])
def anew(call: TheCall, quote_id: str, body: AnewAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Answer a quote made from pieces anew: as it was asked, by what was decided about kinds since; a change else."""
    said = body or AnewAsk()
    homes, override, ready = said.homes, said.overriding, anew_ready(call.desk, quote_id, said.homes)
    return _Step(call, quote_id, if_match, said).judged(
        lambda work: changed_shape(answer_anew(call.desk, work, quote_id, homes=homes, override=override, ready=ready))
    )


@router.post(
    "/v1/quotes/{quote_id}/final-numbers", response_model=ChangedShape, dependencies=[only_for(Audience.OWNER)]
)
def numbers(call: TheCall, quote_id: str, body: FinalNumbersAsk, if_match: IfMatch = None) -> JSONResponse:
    """Write the final counts of a quote's pieces as another version; judged as a change is."""
    pieces = pieces_of(body.pieces)
    return _Step(call, quote_id, if_match, body).judged(
        lambda work: changed_shape(final_numbers(call.desk, work, quote_id, pieces, override=body.overriding))
    )


@router.post("/v1/quotes/{quote_id}/fulfil", response_model=ReleaseShape, dependencies=[only_for(Audience.OWNER)])
def fulfil(call: TheCall, quote_id: str, body: SeenAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Write down that a contracted order was delivered, on the day its stems leave or later."""
    return _Step(call, quote_id, if_match, body).plain(lambda work: _release(fulfil_order(call.desk, work, quote_id)))


@router.post("/v1/quotes/{quote_id}/release", response_model=ReleaseShape, dependencies=[only_for(Audience.OWNER)])
def release(call: TheCall, quote_id: str, body: SeenAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Let an order's stems go because the grower says so; that a customer cancelled is `cancel`."""
    return _Step(call, quote_id, if_match, body).plain(lambda work: _release(release_quote(call.desk, work, quote_id)))


@router.post(
    "/v1/quotes/{quote_id}/take-back-sown", response_model=ReleaseShape, dependencies=[only_for(Audience.OWNER)]
)
def take_back_sown(call: TheCall, quote_id: str, body: SeenAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Take back what was sown for a quote and promised with it, while nothing rests on it; what stood before stays."""
    return _Step(call, quote_id, if_match, body).judged(
        lambda work: _release(take_back_part(call.desk, work, quote_id))
    )


@router.post("/v1/quotes/{quote_id}/cancel", response_model=ReleaseShape, dependencies=[only_for(Audience.OWNER)])
def cancel(call: TheCall, quote_id: str, body: CancelAsk | None = None, if_match: IfMatch = None) -> JSONResponse:
    """Write down that the customer cancelled, and why; the stems are free again."""
    reason = "" if body is None else body.reason
    if not is_text(reason):
        raise NotAccepted(where="reason", found="other text", accepted=TEXT_SENTENCE)
    return _Step(call, quote_id, if_match, body).plain(
        lambda work: _release(cancel_quote(call.desk, work, quote_id, reason=reason))
    )


@dataclass(frozen=True, slots=True)
class _Step:
    """A step of a quote as a request asks for it: done only while the quote is as the request says it saw it."""

    call: Call
    quote: str
    if_match: str | None
    body: SeenAsk | None

    def judged(self, step: Callable[[UnitOfWork], _T]) -> JSONResponse:
        """A step that asks the match."""
        return self._answered(step, is_judged=True)

    def plain(self, step: Callable[[UnitOfWork], _T]) -> JSONResponse:
        """A step that does not, unless it was seen how sure the quote is."""
        return self._answered(step, is_judged=self.if_match is not None)

    def _answered(self, step: Callable[[UnitOfWork], _T], *, is_judged: bool) -> JSONResponse:
        seen, look = seen_under(self.if_match, self.body), look_at_quote(self.call.desk, self.quote)

        def checked(work: UnitOfWork) -> _T:
            check_seen(work, seen, look)
            return step(work)

        return self.call.answer(checked, is_judged=is_judged)


def _release(order: Order) -> ReleaseShape:
    return ReleaseShape(id=order.key, status=order.status)


def changed_shape(changed: QuoteChanged) -> ChangedShape:
    """A changed quote as it is sent."""
    judged = changed.verdict
    return ChangedShape(
        id=changed.order.key,
        status=changed.order.status,
        version=VersionShape.told(changed.version),
        overridden=judged is not None and not judged.accepted,
        displaced=[] if judged is None else fall_shapes(judged.displaced),
        falls=[] if judged is None else fall_shapes(judged.falls),
    )


def _promise(promise: Promised) -> PromiseShape:
    order, verdict = promise.order, promise.verdict
    return PromiseShape(
        id=order.key,
        status=order.status,
        hold_until=None if order.hold_until is None else order.hold_until.isoformat(),
        accepted=True,
        overridden=promise.overridden,
        level=verdict.level,
        confidence_asked=verdict.level,
        order_confidence=round(verdict.joint, 6),
        lines=[PromisedLineShape(line=o.line.line, confidence=round(o.confidence, 6)) for o in verdict.new],
        displaced=fall_shapes(verdict.displaced),
        falls=fall_shapes(verdict.falls),
        could_be_contracted=None if promise.contract is None else promise.contract.accepted,
        contracting_would_lower=[] if promise.contract is None else fall_shapes(promise.contract.falls),
    )
