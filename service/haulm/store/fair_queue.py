"""A queue in front of write transactions: whoever asks first writes first, so that nobody starves under load."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from haulm.store.errors import StoreBusy


class FairQueue:
    """One turn at a time, in the order of asking.

    The database would also keep writers apart, but its waiting is by luck: one writer may be passed over for seconds.
    """

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[threading.Event] = deque()
        self._holder: int | None = None

    @contextmanager
    def turn(self, *, wait_s: float) -> Iterator[None]:
        """Waits for the turn and holds it.

        Raises:
            StoreBusy: the turn did not come within `wait_s` seconds.
        """
        self._take(wait_s)
        try:
            yield
        finally:
            with self._guard:
                self._pass_on()

    def _take(self, wait_s: float) -> None:
        me = threading.get_ident()
        with self._guard:
            assert self._holder != me, "a unit of work was opened inside another"
            if self._holder is None:
                self._holder = me
                return
            called = threading.Event()
            self._waiting.append(called)
        called.wait(wait_s)
        with self._guard:
            if called.is_set():  # also when the call came just after the wait was over
                self._holder = me
                return
            self._waiting.remove(called)
        raise StoreBusy(waited_s=wait_s)

    def _pass_on(self) -> None:
        if self._waiting:
            self._holder = 0  # taken, by somebody who has not woken up yet
            self._waiting.popleft().set()
        else:
            self._holder = None
