"""What every route is handed: the desk, the caller, and the way a POST is answered once per key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

from haulm.farm.limits import LONGEST_TEXT
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.writing import Answer, Asked, carry_out
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.asking import caller_of, path_to_keep
from haulm.web.idempotency import IdempotencyKey, InFlight, body_hash, checked_key

MOST_AT_ONCE = 500
"""Lines, counts, decisions or figures of one request; more are asked in several."""


class Shape(BaseModel):
    """A shape that is sent; what is not declared is not sent."""

    model_config = ConfigDict(frozen=True)


class Ask(BaseModel):
    """A shape that is read; an unknown name is refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class OverridingAsk(Ask):
    """A shape that promises something: the owner may do so in spite of a refusal, and why is written down."""

    override: bool = Field(default=False, description="Do it in spite of a refusal; that is written down.")
    override_reason: str = Field(default="", max_length=LONGEST_TEXT, description="Why; no names, it is kept for good.")

    @property
    def overriding(self) -> str | None:
        """The reason to override a refusal, empty where none was given; None: it is refused."""
        return self.override_reason if self.override else None


@dataclass(frozen=True, slots=True)
class Call:
    """One write request: its desk, and whether it was made before."""

    desk: Desk
    asked: Asked
    in_flight: InFlight

    def answer(self, act: Callable[[UnitOfWork], Shape], *, status: int = 200, is_judged: bool = False) -> JSONResponse:
        """Do it in one transaction and answer after the commit; the same key gets the first answer again.

        `is_judged` is for what asks the match.
        """
        found = self.given(act, status=status, is_judged=is_judged)
        return answered(found.body, found.status)

    def given(self, act: Callable[[UnitOfWork], Shape], *, status: int = 200, is_judged: bool = False) -> Answer:
        """As `answer`, with what is kept for the key, for a route that must not send or keep all of it."""

        def acted(work: UnitOfWork) -> Answer:
            return Answer(status, act(work).model_dump(mode="json", by_alias=True))

        if self.asked.key is None:
            return carry_out(self.desk, self.asked, acted, is_judged=is_judged)
        with self.in_flight.only_once((self.asked.actor, self.asked.route, self.asked.key)):
            return carry_out(self.desk, self.asked, acted, is_judged=is_judged)


def answered(body: Mapping[str, Any], status: int = 200) -> JSONResponse:
    """An answer on the wire; a row carries the number of its version as its ETag, a quote's `version` is no number."""
    version = body.get("version")
    headers = {"ETag": f'"{version}"'} if isinstance(version, int) else None
    return JSONResponse(dict(body), status_code=status, headers=headers)


async def desk_of(request: Request) -> Desk:
    """The desk the service was made with; async, since what waits for nothing needs no thread of its own."""
    desk: Desk = request.app.state.desk
    return desk


async def call_of(request: Request, idempotency_key: IdempotencyKey = None) -> Call:
    """The write request as a call; reads the body to tie the key to it."""
    route = f"{request.method} {quote(path_to_keep(request))}"
    asked = Asked(caller_of(request).actor, route, checked_key(idempotency_key), body_hash(await request.body()))
    in_flight: InFlight = request.app.state.in_flight
    return Call(request.app.state.desk, asked, in_flight)


TheDesk = Annotated[Desk, Depends(desk_of)]
TheCall = Annotated[Call, Depends(call_of)]
