"""GET /healthz, and the pages that explain each kind of problem."""

from __future__ import annotations

import inspect

from fastapi import APIRouter
from fastapi.responses import PlainTextResponse

from haulm.errors import HaulmError, NotFound
from haulm.rest.statuses import STATUSES
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["service"])


class HealthShape(Shape):
    """A sign of life."""

    status: str


@router.get("/healthz", dependencies=[only_for(Audience.ANYBODY)])
def healthz(desk: TheDesk) -> HealthShape:
    """200 when the database answers."""
    desk.store.ping()
    return HealthShape(status="ok")


@router.get("/problems/{code}", response_class=PlainTextResponse, dependencies=[only_for(Audience.ANYBODY)])
def problem(code: str) -> PlainTextResponse:
    """What a kind of problem means; its address is the `type` of every such problem."""
    for kind, status in STATUSES.items():
        if kind.code == code:
            return PlainTextResponse(f"{kind.code} ({status})\n\n{_meaning(kind)}\n")
    if code == "request-not-read":
        return PlainTextResponse("request-not-read (422)\n\nThe request could not be read; `errors` says where.\n")
    raise NotFound(kind="problem", key=code)


def _meaning(kind: type[HaulmError]) -> str:
    return inspect.cleandoc(kind.__doc__ or "")
