"""Questions that are answered on the spot or not at all: they see what was committed, wait for nobody, only read."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select

from haulm.store.at_once import AtOnce, Question
from haulm.store.tables.catalogue import FARMS

VERSIONS = Question(select(FARMS.c.version).order_by(FARMS.c.version))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a file may be, under a name that an address has to quote."""
    return tmp_path / "what? 100% farm.db"


@pytest.fixture
def at_once(path: Path) -> Iterator[AtOnce]:
    """The way to the file."""
    with closing(AtOnce(path)) as opened:
        yield opened


def made(path: Path, mode: str = "WAL") -> sqlite3.Connection:
    """A file with a table of versions, as another connection has it."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute(f"PRAGMA journal_mode = {mode}")
    connection.execute("CREATE TABLE farms (version INTEGER)")
    return connection


def test_what_was_committed_is_seen_and_what_was_not_is_not(path: Path, at_once: AtOnce) -> None:
    with closing(made(path)) as other:
        assert at_once.rows(VERSIONS, {}) == []
        first = at_once.moment()
        assert first is not None and at_once.moment() == first
        other.execute("BEGIN IMMEDIATE")
        other.execute("INSERT INTO farms VALUES (7)")
        assert (at_once.rows(VERSIONS, {}), at_once.moment()) == ([], first)
        other.execute("COMMIT")

        assert at_once.moment() not in (None, first)
        assert at_once.rows(VERSIONS, {}) == [(7,)]
        other.execute("DELETE FROM farms")
        assert at_once.rows(VERSIONS, {}) == []


def test_a_question_holds_no_moment_of_the_database_after_its_answer(path: Path, at_once: AtOnce) -> None:
    with closing(made(path)) as other:
        other.executemany("INSERT INTO farms VALUES (?)", [(number,) for number in range(9)])
        assert at_once.rows(VERSIONS, {}) == [(number,) for number in range(9)]
        busy, frames, written = other.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        assert (busy, frames, written) == (0, 0, 0)


def test_where_the_file_is_held_there_is_no_answer_and_no_waiting(path: Path, at_once: AtOnce) -> None:
    with closing(made(path, "DELETE")) as other:
        assert at_once.rows(VERSIONS, {}) == []
        before = at_once.moment()
        other.execute("BEGIN EXCLUSIVE")
        start = time.monotonic()
        assert (at_once.rows(VERSIONS, {}), at_once.moment()) == (None, None)
        assert time.monotonic() - start < 5  # others would wait ten seconds for the lock
        other.execute("ROLLBACK")

        assert at_once.rows(VERSIONS, {}) == []
        assert at_once.moment() not in (None, before)  # another connection counts anew: its numbers mean nothing here


def test_without_a_file_there_is_no_answer_until_it_is_there(path: Path, at_once: AtOnce) -> None:
    assert (at_once.rows(VERSIONS, {}), at_once.moment()) == (None, None)
    assert not path.exists()
    path.write_bytes(b"no database at all, though as long as the head of one " * 20)
    assert at_once.rows(VERSIONS, {}) is None
    path.unlink()
    with closing(made(path)):
        assert at_once.rows(VERSIONS, {}) == []


def test_nothing_can_be_written(path: Path, at_once: AtOnce) -> None:
    with closing(made(path)) as other:
        assert at_once.rows(VERSIONS, {}) == []
        assert at_once._asked("INSERT INTO farms VALUES (1)", {}) is None
        assert other.execute("SELECT * FROM farms").fetchall() == []


def test_other_databases_give_no_answer() -> None:
    nothing = AtOnce(None)
    assert (nothing.rows(VERSIONS, {}), nothing.moment()) == (None, None)
