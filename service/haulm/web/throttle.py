"""Guessing made slow: after a few wrong tries from one address the next has to wait, twice as long each time."""

from __future__ import annotations

import threading
from collections import OrderedDict
from datetime import datetime, timedelta

from haulm.errors import HaulmError
from haulm.language.words import _

FREE_TRIES = 5
LONGEST_WAIT = timedelta(minutes=15)
_MOST_ADDRESSES = 10_000
_FORGOTTEN = timedelta(hours=1)


class TooManyTries(HaulmError):
    """Too many wrong passwords came from one address."""

    code = "too-many-tries"

    def __init__(self, *, wait_s: int) -> None:
        super().__init__(
            _("Too many wrong passwords: try again in {wait_s} seconds.").format(wait_s=wait_s), wait_s=wait_s
        )


class Throttle:
    """Counts tries by address, in this process, each as wrong until it proves right; that one forgets them."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._tries: OrderedDict[str, tuple[int, datetime]] = OrderedDict()

    def admit(self, address: str, now: datetime) -> None:
        """Let a try through and count it at once, so that many at the same time are many; or say how long to wait.

        Raises:
            TooManyTries: it is too early.
        """
        with self._lock:
            count, last = self._tries.get(address, (0, now))
            if now - last > _FORGOTTEN:
                count = 0
            if count >= FREE_TRIES:
                left = last + min(LONGEST_WAIT, timedelta(seconds=2 ** min(count - FREE_TRIES + 1, 12))) - now
                if left > timedelta(0):
                    raise TooManyTries(wait_s=int(left.total_seconds()) + 1)
            self._tries.pop(address, None)
            self._tries[address] = (count + 1, now)
            while len(self._tries) > _MOST_ADDRESSES:
                self._tries.popitem(last=False)

    def right(self, address: str) -> None:
        """Forget the tries of an address."""
        with self._lock:
            self._tries.pop(address, None)
