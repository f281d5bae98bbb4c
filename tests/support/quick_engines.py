"""SQLite as tests have it: no commit is waited for until it is on the disk, and statements are put into SQL once.

A test has a database of its own, so an engine of its own, which would put every statement into SQL again: half of what
a small test took. A service has one engine and keeps its statements as they are kept here for all tests of a process.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import Engine, create_engine

from haulm.store import engine


@contextmanager
def quick_engines() -> Iterator[str]:
    """Has engines made so; gives how the program as it is waits for the disk."""
    shipped = engine.SYNCHRONOUS
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "SYNCHRONOUS", "OFF")
        patch.setattr(engine, "create_engine", _Sharing())
        yield shipped


class _Sharing:
    """Makes engines; all of SQLite speak the dialect of the first that has connected, and share its statements."""

    def __init__(self) -> None:
        self._first: Any = None

    def __call__(self, url: Any, **settings: Any) -> Engine:
        made: Any = create_engine(url, **settings)
        if made.dialect.name == "sqlite":
            if self._first is None or self._first.dialect.server_version_info is None:
                self._first = made
            made.dialect, made._compiled_cache = self._first.dialect, self._first._compiled_cache
        return made
