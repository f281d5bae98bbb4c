"""The Idempotency-Key of a POST: read, kept from running twice at once, and tied to the body it came with."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

from fastapi import Header

from haulm.errors import NotAccepted
from haulm.language.words import _
from haulm.web.refusals import KeyInFlight

KEY_HEADER = "Idempotency-Key"
_LONGEST = 255
IdempotencyKey = Annotated[
    str | None,
    Header(
        alias=KEY_HEADER,
        description="Whatever names this request: under the same key it is done once, and gets the first answer again.",
        json_schema_extra={"minLength": 1, "maxLength": _LONGEST},
    ),
]
"""The header as a route takes it; `checked_key` says what is wrong with one."""


class InFlight:
    """The keys that are being answered at this moment, by scope."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._keys: set[tuple[str, str, str]] = set()

    @contextmanager
    def only_once(self, scope: tuple[str, str, str]) -> Iterator[None]:
        """Answer one request per scope (actor, route, key) at a time.

        Raises:
            KeyInFlight: the same key is being answered already.
        """
        with self._lock:
            if scope in self._keys:
                raise KeyInFlight(key=scope[2])
            self._keys.add(scope)
        try:
            yield
        finally:
            with self._lock:
                self._keys.discard(scope)


def checked_key(key: str | None) -> str | None:
    """A request's key, or None where it brings none.

    Raises:
        NotAccepted: the key is empty or too long.
    """
    if key is None:
        return None
    if not 1 <= len(key) <= _LONGEST:
        accepted = _("1 to {longest} characters").format(longest=_LONGEST)
        raise NotAccepted(where=KEY_HEADER, found=_("{key} characters").format(key=len(key)), accepted=accepted)
    return key


def body_hash(body: bytes) -> str:
    """What ties a key to the body it came with."""
    return hashlib.sha256(body).hexdigest()
