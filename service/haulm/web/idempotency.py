"""The Idempotency-Key of a POST: read, kept from running twice at once, and tied to the body it came with."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import Request

from haulm.errors import NotAccepted
from haulm.web.refusals import KeyInFlight

_LONGEST = 255


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


def idempotency_key(request: Request) -> str | None:
    """The request's key, or None where it brings none.

    Raises:
        NotAccepted: the key is empty or too long.
    """
    key = request.headers.get("idempotency-key")
    if key is None:
        return None
    if not 1 <= len(key) <= _LONGEST:
        accepted = f"1 to {_LONGEST} characters"
        raise NotAccepted(where="Idempotency-Key", found=f"{len(key)} characters", accepted=accepted)
    return key


def body_hash(body: bytes) -> str:
    """What ties a key to the body it came with."""
    return hashlib.sha256(body).hexdigest()
