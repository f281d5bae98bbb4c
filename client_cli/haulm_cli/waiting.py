"""A plain line on stderr when a call takes long, so that nobody thinks the program hangs."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Timer
from typing import TextIO

PATIENCE_SECONDS = 1.0


@contextmanager
def waiting(stream: TextIO, url: str, *, patience_seconds: float = PATIENCE_SECONDS) -> Iterator[None]:
    """Says once that the service is still reckoning; says nothing where the stream is no terminal."""
    if not stream.isatty():
        yield
        return
    timer = Timer(patience_seconds, lambda: print(f"Waiting for the service at {url} ...", file=stream, flush=True))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
