"""Who may call a route: declared on each route, nobody by default, checked before the route runs.

While no password is set, a caller on a loopback address acts as the owner, unless a proxy's forwarding headers say
that the true caller is somewhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from urllib.parse import urlsplit

from fastapi import Depends, Request
from fastapi.params import Depends as DependsMark
from fastapi.routing import iter_route_contexts
from starlette.routing import BaseRoute

from haulm.web.asking import Role, caller_of
from haulm.web.refusals import ForeignOrigin, HostNotListed, NotForYou

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
        if self.audience is Audience.OWNER and caller_of(request).role is not Role.OWNER:
            raise NotForYou(audience=self.audience)


def only_for(audience: Audience) -> DependsMark:
    """The declaration of a route's audience."""
    mark: DependsMark = Depends(For(audience))
    return mark


def audiences(routes: Sequence[BaseRoute]) -> dict[str, Audience | None]:
    """The audience that each route declares, by its methods and path; None where it declares none."""
    found: dict[str, Audience | None] = {}
    for context in iter_route_contexts(routes):
        marks = getattr(context, "dependencies", ())
        declared = [mark.dependency.audience for mark in marks if isinstance(mark.dependency, For)]
        assert len(declared) < 2, "a route is for one audience"
        name = f"{' '.join(sorted(context.methods or ()))} {context.path}"
        found[name] = declared[0] if declared else None
    return found


def require_audiences(routes: Sequence[BaseRoute]) -> None:
    """Nobody by default: an application with a route that declares no audience does not start."""
    undeclared = [name for name, audience in audiences(routes).items() if audience is None]
    assert not undeclared, f"these routes say nothing of who may call them: {undeclared}"


def check_host_and_origin(listed: frozenset[str]) -> Callable[[Request], None]:
    """A check that the Host is a listed name and that a write does not come from another site's page."""

    def check(request: Request) -> None:
        host = request.headers.get("host", "")
        if _name_of(f"//{host}") not in listed:
            raise HostNotListed(found=host, accepted=", ".join(sorted(listed)))
        if request.method not in _READS:
            _check_origin(request, host)

    return check


def _check_origin(request: Request, host: str) -> None:
    site = request.headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        raise ForeignOrigin(found=f"another site ({site})")
    origin = request.headers.get("origin")
    if origin is not None and origin.partition("://")[2].lower() != host.lower():
        raise ForeignOrigin(found=f"'{origin}'")


def _name_of(address: str) -> str | None:
    """The machine that an address names; None where it cannot be read."""
    try:
        return urlsplit(address).hostname
    except ValueError:
        return None
