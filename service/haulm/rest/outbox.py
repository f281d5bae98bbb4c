"""GET /v1/outbox: mail on its way, and how far it has come; and what never arrived, sent again."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse

from haulm.jobs.florists.send_again import send_again
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.store.outbox import Posted
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["mail"])


class LetterShape(Shape):
    """One letter. `repeats` counts how often the same bytes went out again, the answer to them having been lost."""

    number: int
    kind: str
    customer: str | None
    made_at: str
    due_at: str
    state: str
    tries: int
    repeats: int
    answer: str


class OutboxShape(Shape):
    """The latest letters, newest first."""

    letters: list[LetterShape]


class AgainShape(Shape):
    """The letter that waits anew."""

    number: int


@router.get("/v1/outbox", dependencies=[only_for(Audience.OWNER)])
def outbox(desk: TheDesk) -> OutboxShape:
    """Mail on its way: `waiting`, `sent`, `bounced` (the server will never take it), `given_up`, or `left_out`.

    A letter is left out where there is nobody to send it to, or no such mail is wanted.
    """
    return OutboxShape(letters=[_letter(found) for found in desk.store.outbox.posted()])


@router.post(
    "/v1/outbox/{number}/again", status_code=201, response_model=AgainShape, dependencies=[only_for(Audience.OWNER)]
)
def again(call: TheCall, number: int) -> JSONResponse:
    """Try a letter anew that bounced or was given up; it goes to the address the customer has now."""
    return call.answer(lambda work: AgainShape(number=send_again(work, number)), status=201)


def _letter(found: Posted) -> LetterShape:
    return LetterShape(
        number=found.number,
        kind=found.kind,
        customer=found.customer,
        made_at=found.made_at.isoformat(),
        due_at=found.due_at.isoformat(),
        state=found.state,
        tries=found.tries,
        repeats=found.repeats,
        answer=found.answer,
    )
