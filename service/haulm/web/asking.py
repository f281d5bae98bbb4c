"""Who is asking: the owner, a farm hand, a florist by a personal link, or nobody the farm knows."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from enum import StrEnum

from fastapi import Request

_FORWARDING = ("forwarded", "via", "x-real-ip")
_FORWARDING_PREFIX = "x-forwarded-"


class Role(StrEnum):
    """What somebody is to the farm."""

    OWNER = "owner"
    HAND = "hand"
    FLORIST = "florist"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Caller:
    """Somebody who asks; a florist by the key of the customer."""

    role: Role
    customer: str | None = None

    @property
    def actor(self) -> str:
        """The id under which entries name them."""
        return f"{self.role}:{self.customer}" if self.customer is not None else str(self.role)


def caller_of(request: Request) -> Caller:
    """Who makes a request."""
    return Caller(Role.OWNER if is_on_this_computer(request) else Role.NOBODY)


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
