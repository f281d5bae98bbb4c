"""A store for each test, once on SQLite and once on PostgreSQL, with tables and without a farm."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from haulm.store.store import Store
from support.desks import sqlite_store


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """The address of an SQLite database with tables and no farm."""
    sqlite_store(tmp_path).close()
    return f"sqlite:///{tmp_path / 'farm.db'}"


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def url(request: pytest.FixtureRequest) -> str:
    """The address of a database of the test's own, on each engine, with tables and no farm."""
    found: str = request.getfixturevalue(f"{request.param}_url")
    return found


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A store on each engine, with tables and no farm."""
    opened = Store.open(url)
    yield opened
    opened.close()
