"""Refusals that only a door can make."""

from __future__ import annotations

from haulm.errors import HaulmError
from haulm.language.words import _


class NotForYou(HaulmError):
    """The caller is not among those the route is for."""

    code = "not-for-you"

    def __init__(self, *, audience: str) -> None:
        super().__init__(
            _(
                "This is for the {audience} only: log in, show a token, or ask from the farm's own "
                "computer while no password is set."
            ).format(audience=audience),
            audience=audience,
        )


class HostNotListed(HaulmError):
    """The Host header names a machine this service does not answer for."""

    code = "host-not-listed"

    def __init__(self, *, found: str, accepted: str) -> None:
        super().__init__(
            _("Host: found '{found}'; accepted is {accepted}.").format(found=found, accepted=accepted),
            found=found,
            accepted=accepted,
        )


class ForeignOrigin(HaulmError):
    """A page of another site tried to write."""

    code = "foreign-origin"

    def __init__(self, *, found: str) -> None:
        super().__init__(
            _("A page from {found} may not write here; use the service's own address.").format(found=found), found=found
        )


class KeyInFlight(HaulmError):
    """A request with the same Idempotency-Key is still being answered."""

    code = "idempotency-key-in-flight"

    def __init__(self, *, key: str) -> None:
        super().__init__(
            _("A request with the Idempotency-Key '{key}' is still being answered; ask again in a moment.").format(
                key=key
            ),
            key=key,
        )


class BodyNotRead(HaulmError):
    """The request body is not what the route reads."""

    code = "body-not-read"

    def __init__(self, *, found: str, accepted: str) -> None:
        super().__init__(
            _("Request body: found {found}; accepted is {accepted}.").format(found=found, accepted=accepted),
            found=found,
            accepted=accepted,
        )
