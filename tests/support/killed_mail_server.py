"""A mail server in a process of its own, that a test can kill at any moment; what it took is in a folder."""

from __future__ import annotations

import asyncio
import itertools
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import TracebackType
from typing import Any

from aiosmtpd.smtp import SMTP

_STARTS_S = 10.0
_LOOKS_S = 0.005
_THINKS_S = 0.02
"""Between having a mail and saying so: a server killed in this moment has a mail whose sender cannot know."""
_MOST_TAKEN = 12
"""Mails that one life takes at most before it is killed."""


class KilledMailServer:
    """Starts the server again and again at the same port, and kills it at random."""

    def __init__(self, folder: Path, port: int, seed: int) -> None:
        """A server that has not started; each of its lives ends after a few mails, their number drawn from a seed."""
        self.folder, self.port = folder, port
        self._chance = random.Random(seed)
        self._over = threading.Event()
        self._is_up = threading.Event()
        self._thread = threading.Thread(target=self._live)
        self.lives = 0

    def __enter__(self) -> KilledMailServer:
        """Starts the first life."""
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Ends the last life."""
        self._over.set()
        self._thread.join(30)

    def wait_until_up(self) -> None:
        """Wait for the next moment at which it listens."""
        assert self._is_up.wait(30), "the server does not start"

    def taken(self) -> list[bytes]:
        """Every mail that the server has whole, in the order in which it took them."""
        return [path.read_bytes() for path in sorted(self.folder.glob("*.eml"))]

    def _live(self) -> None:
        while not self._over.is_set():
            self.lives += 1
            place = self.folder / f"{self.lives:04d}"
            command = [sys.executable, __file__, str(self.port), str(place)]
            with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
                assert process.stdout is not None
                process.stdout.readline()
                self._is_up.set()
                self._wait_for_mails(f"{place.name}-*.eml", self._chance.randint(1, _MOST_TAKEN))
                self._over.wait(self._chance.uniform(0, 2 * _THINKS_S))
                self._is_up.clear()
                process.send_signal(signal.SIGKILL)

    def _wait_for_mails(self, pattern: str, count: int) -> None:
        while len(list(self.folder.glob(pattern))) < count and not self._over.wait(_LOOKS_S):
            pass


class _Keeping:
    """Keeps each mail as a file before it answers; every now and then it takes its time between the two."""

    def __init__(self, place: str) -> None:
        self._place = place
        self._count = itertools.count()

    async def handle_DATA(self, smtp: SMTP, session: Any, envelope: Any) -> str:  # noqa: N802 - its name
        path = Path(f"{self._place}-{next(self._count):05d}")
        path.write_bytes(envelope.content)
        path.rename(path.with_suffix(".eml"))
        await asyncio.sleep(_THINKS_S)
        return "250 2.0.0 taken"


async def _serve(port: int, place: str) -> None:
    handler = _Keeping(place)
    loop = asyncio.get_running_loop()
    until = time.monotonic() + _STARTS_S
    while True:
        try:
            server = await loop.create_server(lambda: SMTP(handler), "127.0.0.1", port)
            break
        except OSError:
            if time.monotonic() > until:
                raise
            await asyncio.sleep(0.02)
    os.write(1, b"listening\n")
    await server.serve_forever()


if __name__ == "__main__":
    asyncio.run(_serve(int(sys.argv[1]), sys.argv[2]))
