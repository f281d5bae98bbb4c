"""Who is asking: the owner, a farm hand, a florist or a couple by a personal link, or nobody the farm knows."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from fastapi import Request

from haulm.jobs.desk.desk import Desk
from haulm.store.doors import Doors, Glance

COOKIE = "haulm_pass"
_FORWARDING = ("forwarded", "via", "x-real-ip")
_FORWARDING_PREFIX = "x-forwarded-"


class DoorKind(StrEnum):
    """What somebody is to the farm."""

    OWNER = "owner"
    HAND = "hand"
    FLORIST = "florist"
    COUPLE = "couple"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Caller:
    """Somebody who asks; a florist by the key of the customer, a couple by that and the key of their order."""

    role: DoorKind
    customer: str | None = None
    order: str | None = None

    @property
    def actor(self) -> str:
        """The id under which entries name them."""
        return f"{self.role}:{self.customer}" if self.customer is not None else str(self.role)


def caller_of(request: Request) -> Caller:
    """Who makes a request: whoever's pass it shows; the owner, on the farm's own computer, while no password is set.

    A pass is a cookie of a browser that logged in, or a token as `Authorization: Bearer`.
    """
    known = getattr(request.state, "caller", None)
    if isinstance(known, Caller):
        return known
    return _noted(request, _doors(request).glance(_shown(request)))


def caller_at_once(request: Request) -> Caller | None:
    """The same without waiting, for the server's own thread; None where only `caller_of` can tell."""
    seen = _doors(request).glance_at_once(_shown(request))
    return None if seen is None else _noted(request, seen)


def _noted(request: Request, seen: Glance) -> Caller:
    """Who makes a request, noted there with what the door saw."""
    found = Caller(_role(request, seen))
    request.state.caller, request.state.glance = found, seen
    return found


def _doors(request: Request) -> Doors:
    desk: Desk = request.app.state.desk
    return desk.store.doors


def _shown(request: Request) -> tuple[str, datetime] | None:
    """The token that a request shows, and when."""
    desk: Desk = request.app.state.desk
    token = token_of(request)
    return None if token is None else (token, desk.now())


def token_of(request: Request) -> str | None:
    """The token that a request shows, if any."""
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    if scheme.lower() == "bearer" and token.strip():
        return token.strip()
    return request.cookies.get(COOKIE)


def path_to_keep(request: Request) -> str:
    """The path of a request as it may be kept: a personal link is named for whom it is, never by what opens it."""
    caller = caller_of(request)
    if caller.customer is None:
        return request.url.path
    return request.url.path.replace(str(request.path_params["token"]), caller.customer)


def _role(request: Request, seen: Glance) -> DoorKind:
    if seen.role is not None:
        return DoorKind(str(seen.role))
    if not seen.is_locked and is_on_this_computer(request):
        return DoorKind.OWNER
    return DoorKind.NOBODY


def is_on_this_computer(request: Request) -> bool:
    """Whether a request comes from a loopback address, and no proxy says that its true caller is elsewhere."""
    if request.client is None or any(_is_forwarding(name) for name in request.headers):
        return False
    try:
        return ipaddress.ip_address(request.client.host).is_loopback
    except ValueError:
        return False


def _is_forwarding(header: str) -> bool:
    return header in _FORWARDING or header.startswith(_FORWARDING_PREFIX)
