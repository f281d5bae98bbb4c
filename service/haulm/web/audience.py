"""Who may call a route: declared on each route, nobody by default, checked before the route runs.

While no password is set, a caller on a loopback address acts as the owner, unless a proxy's forwarding headers say
that the true caller is somewhere else.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from enum import StrEnum
from urllib.parse import urlsplit

from fastapi import Depends, Request
from fastapi.params import Depends as DependsMark

from haulm.web.refusals import ForeignOrigin, HostNotListed, NotForYou

_FORWARDING = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip")
_READS = ("GET", "HEAD", "OPTIONS")


class Audience(StrEnum):
    """The people a route can be for."""

    ANYBODY = "anybody"
    OWNER = "owner"


class For:
    """The dependency that lets one audience in; the house test reads `audience` from it."""

    def __init__(self, audience: Audience) -> None:
        """The mark of one audience."""
        self.audience = audience

    def __call__(self, request: Request) -> None:
        """Let a caller of the audience in.

        Raises:
            NotForYou: the caller is somebody else.
        """
        if self.audience is Audience.OWNER and not _is_owner(request):
            raise NotForYou(audience=self.audience)


def only_for(audience: Audience) -> DependsMark:
    """The declaration of a route's audience."""
    mark: DependsMark = Depends(For(audience))
    return mark


def check_host_and_origin(listed: frozenset[str]) -> Callable[[Request], None]:
    """A check that the Host is a listed name and that a write does not come from another site's page."""

    def check(request: Request) -> None:
        host = urlsplit(f"//{request.headers.get('host', '')}").hostname or ""
        if host not in listed:
            raise HostNotListed(found=host, accepted=", ".join(sorted(listed)))
        if request.method not in _READS:
            _check_origin(request, listed)

    return check


def _check_origin(request: Request, listed: frozenset[str]) -> None:
    site = request.headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        raise ForeignOrigin(found=f"another site ({site})")
    origin = request.headers.get("origin")
    if origin is not None and (urlsplit(origin).hostname or "") not in listed:
        raise ForeignOrigin(found=f"'{origin}'")


def _is_owner(request: Request) -> bool:
    if request.client is None or any(name in request.headers for name in _FORWARDING):
        return False
    try:
        return ipaddress.ip_address(request.client.host).is_loopback
    except ValueError:
        return False
