"""Questions to an SQLite file that are answered on the spot, or not at all: for what every request waits for.

A server's own thread may ask them, since nothing here waits: a reader of a file with a write-ahead log needs no lock
that a writer holds. Where the file is held all the same, cannot be read, or the database is PostgreSQL, there is no
answer, and whoever asks takes the usual way. A connection that can only read is kept open for them. Each question is a
transaction of its own that is over with its answer, so that what anybody committed before it is seen.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Select
from sqlalchemy.dialects import sqlite

from haulm.store.engine import sqlite_address

_DIALECT = sqlite.dialect(paramstyle="named")

Moment = tuple[int, int]
"""Which connection looked, and what it calls the state of the database (`PRAGMA data_version`)."""


class Question:
    """A statement as the driver itself takes it, made once; its columns come as SQLite holds them."""

    def __init__(self, statement: Select[Any]) -> None:
        """The question that a statement asks, with the values that are part of it."""
        made = statement.compile(dialect=_DIALECT)
        self.text = str(made)
        self._own = {name: value for name, value in made.params.items() if value is not None}
        self._ways: dict[str, Callable[[Any], Any]] = {}
        for name, bound in made.binds.items():
            way = bound.type.dialect_impl(_DIALECT).bind_processor(_DIALECT)
            if way is not None:
                self._ways[name] = way

    def values(self, given: Mapping[str, object]) -> dict[str, object]:
        """All values, as SQLite holds them."""
        ways = self._ways
        return self._own | {name: ways[name](value) if name in ways else value for name, value in given.items()}


class AtOnce:
    """A connection of its own to an SQLite file. Threads may share it."""

    def __init__(self, path: Path | None) -> None:
        """The way to a file, opened when it is first asked; without a file there is no answer to anything."""
        self._path = path
        self._lock = threading.Lock()
        self._connection: sqlite3.Connection | None = None
        self._opened = 0

    def rows(self, question: Question, given: Mapping[str, object]) -> list[tuple[Any, ...]] | None:
        """The rows that answer a question; None where there is no answer on the spot."""
        found = self._asked(question.text, question.values(given))
        return None if found is None else found[1]

    def moment(self) -> Moment | None:
        """A value that is another one as soon as anybody has committed anything since; None where none is known."""
        found = self._asked("PRAGMA data_version", {})
        return None if found is None else (found[0], int(found[1][0][0]))

    def close(self) -> None:
        """Gives back the connection; asking again opens another."""
        with self._lock:
            self._let_go()

    def _asked(self, text: str, values: Mapping[str, object]) -> tuple[int, list[tuple[Any, ...]]] | None:
        """Which connection was asked, counted from the first one, and its rows."""
        if self._path is None:
            return None
        with self._lock:
            try:
                if self._connection is None:
                    self._connection = _read_only(self._path)
                    self._opened += 1
                # All rows at once: a statement that is not at its end would go on holding its moment of the database.
                return self._opened, self._connection.execute(text, values).fetchall()
            except sqlite3.Error:
                self._let_go()
                return None

    def _let_go(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None


def _read_only(path: Path) -> sqlite3.Connection:
    address = sqlite_address(path, read_only=True)
    return sqlite3.connect(address, uri=True, timeout=0, isolation_level=None, check_same_thread=False)
