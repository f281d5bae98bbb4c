"""Logging in and out."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.farm.let_in import NotLetIn, log_in
from haulm.pages.doing import PageRoute, TheForm, desk_of
from haulm.pages.look import back_to, page
from haulm.store.doors import BROWSER_DAYS
from haulm.store.words import DoorRole
from haulm.web.asking import COOKIE, token_of
from haulm.web.audience import Audience, only_for
from haulm.web.throttle import Throttle

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.ANYBODY)])

_DAY_S = 24 * 60 * 60
_HANDS_FIRST = "/walk"
"""The first page is the owner's; a farm hand begins in the field."""


@router.get("/login")
def ask(request: Request, to: str = "/") -> Response:
    """The page that asks for the password."""
    return page(request, "login.html", to=_own(to), wrong=None)


@router.post("/login")
def enter(request: Request, form: TheForm) -> Response:
    """Let somebody in who knows the password."""
    desk, throttle = desk_of(request), request.app.state.throttle
    assert isinstance(throttle, Throttle)
    address, to = (request.client.host if request.client else "?"), _own(form.get("to", "/"))
    throttle.admit(address, desk.now())
    try:
        token = log_in(desk, form.get("password", ""))
    except NotLetIn as refusal:
        return page(request, "login.html", status=403, to=to, wrong=refusal.sentence)
    throttle.right(address)
    is_hand = desk.store.doors.role_of(token, desk.now()) is DoorRole.HAND
    answer = Response(status_code=303, headers={"Location": _HANDS_FIRST if is_hand and to == "/" else to})
    is_secure = request.url.scheme == "https" or bool(request.app.state.is_secure)
    answer.set_cookie(
        COOKIE, token, max_age=BROWSER_DAYS * _DAY_S, httponly=True, samesite="lax", secure=is_secure, path="/"
    )
    return answer


@router.post("/logout")
def leave(request: Request) -> Response:
    """End the pass that the browser shows."""
    token = token_of(request)
    if token is not None:
        desk_of(request).store.doors.end_pass(token)
    answer = back_to("/login", "out")
    answer.delete_cookie(COOKIE, path="/")
    return answer


def _own(to: str) -> str:
    """A path of this service; anything else leads home."""
    plain = to.isascii() and to.isprintable() and to.startswith("/") and "\\" not in to and " " not in to
    return to if plain and not to.startswith("//") else "/"
