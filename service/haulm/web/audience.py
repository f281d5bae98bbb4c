"""Who may call a route: declared on each route, nobody by default, checked before the route runs.

Who a caller is, `asking` tells: a pass, a personal link, or the farm's own computer while no password is set.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator, Sequence
from datetime import timedelta
from enum import StrEnum
from typing import TypeVar
from urllib.parse import urlsplit

from fastapi import Depends, Request
from fastapi.params import Depends as DependsMark
from fastapi.routing import iter_route_contexts
from starlette.routing import BaseRoute

from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_links import link_number
from haulm.language.words import _
from haulm.web.asking import Caller, DoorKind, caller_of
from haulm.web.links import Links, PersonalLinkNotValid
from haulm.web.refusals import ForeignOrigin, HostNotListed, NotForYou

BY_LINK = ("/no-more-mail/", "/f/", "/your-day/")
"""Addresses that hold a signed link, which itself is the leave to write.

A page without a referrer sends its forms as of no origin, and a mail program may end a list on its user's word
(RFC 8058).
"""
OPEN_AFTER = timedelta(days=60)
"""So long after the day a couple's link still opens their page."""
_READS = ("GET", "HEAD", "OPTIONS")


Mark = TypeVar("Mark")


class Audience(StrEnum):
    """The people a route can be for."""

    ANYBODY = "anybody"
    FLORIST = "florist"
    COUPLE = "couple"
    HAND = "hand"
    OWNER = "owner"


_LET_IN = {Audience.OWNER: (DoorKind.OWNER,), Audience.HAND: (DoorKind.OWNER, DoorKind.HAND)}
"""The roles that each audience lets in; an audience without a row lets in everybody."""


class For:
    """The dependency that lets one audience in; the house test reads `audience` from it."""

    def __init__(self, audience: Audience) -> None:
        """The mark of one audience."""
        self.audience = audience

    def __call__(self, request: Request) -> None:
        """Let a caller of the audience in.

        Raises:
            NotForYou: the caller is somebody else.
            PersonalLinkNotValid: a florist's or a couple's link is forged, too old, or was ended.
        """
        if self.audience is Audience.FLORIST:
            request.state.caller = _florist(request)
        elif self.audience is Audience.COUPLE:
            request.state.caller = _couple(request)
        elif caller_of(request).role not in _LET_IN.get(self.audience, DoorKind):
            raise NotForYou(audience=self.audience)


def _florist(request: Request) -> Caller:
    """The florist whose link the address holds.

    Raises:
        PersonalLinkNotValid: the link is forged, too old, or was ended.
    """
    desk: Desk = request.app.state.desk
    links: Links = request.app.state.links
    holder = links.florist(str(request.path_params["token"]))
    if holder.number != link_number(desk, holder.customer):
        raise PersonalLinkNotValid
    return Caller(DoorKind.FLORIST, holder.customer)


def _couple(request: Request) -> Caller:
    """The couple whose order's link the address holds.

    Raises:
        PersonalLinkNotValid: the link is forged, was ended, or its day is long over.
    """
    desk: Desk = request.app.state.desk
    links: Links = request.app.state.links
    holder = links.couple(str(request.path_params["token"]))
    order = next((one for one in desk.store.farm().orders if one.key == holder.customer), None)
    if order is None or desk.today() > (order.event_date or order.due_date) + OPEN_AFTER:
        raise PersonalLinkNotValid
    if holder.number != link_number(desk, order.customer):
        raise PersonalLinkNotValid
    return Caller(DoorKind.COUPLE, order.customer, order.key)


def only_for(audience: Audience) -> DependsMark:
    """The declaration of a route's audience."""
    mark: DependsMark = Depends(For(audience))
    return mark


def audiences(routes: Sequence[BaseRoute]) -> dict[str, Audience | None]:
    """The audience that each route declares, by its methods and path; None where it declares none."""
    found: dict[str, Audience | None] = {}
    for name, declared in declarations(routes, For):
        assert len(declared) < 2, "a route is for one audience"
        found[name] = declared[0].audience if declared else None
    return found


def declarations(routes: Sequence[BaseRoute], kind: type[Mark]) -> Iterator[tuple[str, list[Mark]]]:
    """Each route's declarations of a kind, by its methods and path."""
    for context in iter_route_contexts(routes):
        marks = [mark.dependency for mark in getattr(context, "dependencies", ())]
        name = f"{' '.join(sorted(context.methods or ()))} {context.path}"
        yield name, [mark for mark in marks if isinstance(mark, kind)]


def require_audiences(routes: Sequence[BaseRoute]) -> None:
    """Nobody by default: an application with a route that declares no audience does not start."""
    undeclared = [name for name, audience in audiences(routes).items() if audience is None]
    assert not undeclared, f"these routes say nothing of who may call them: {undeclared}"


def check_host_and_origin(listed: frozenset[str]) -> Callable[[Request], Awaitable[None]]:
    """A check that the Host is a listed name and that a write does not come from another site's page.

    It is async, since what waits for nothing needs no thread of its own.
    """

    async def check(request: Request) -> None:
        host = request.headers.get("host", "")
        if not is_listed(request, listed):
            raise HostNotListed(found=host, accepted=", ".join(sorted(listed)))
        if request.method not in _READS and not request.url.path.startswith(BY_LINK):
            _check_origin(request, host)

    return check


def is_listed(request: Request, listed: frozenset[str]) -> bool:
    """Whether the Host of a request is among the names the service answers for."""
    return _name_of(f"//{request.headers.get('host', '')}") in listed


def _check_origin(request: Request, host: str) -> None:
    site = request.headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        raise ForeignOrigin(found=_("another site ({site})").format(site=site))
    origin = request.headers.get("origin")
    if origin is not None and origin.partition("://")[2].lower() != host.lower():
        raise ForeignOrigin(found=f"'{origin}'")


def _name_of(address: str) -> str | None:
    """The machine that an address names; None where it cannot be read."""
    try:
        return urlsplit(address).hostname
    except ValueError:
        return None
