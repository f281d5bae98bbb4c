"""A store for each test, once on SQLite and once on PostgreSQL, with tables and without a farm."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from haulm.store.store import Store
from support.postgres import Cluster


def migrated(url: str) -> None:
    """Makes the tables in an empty database."""
    store = Store.open(url)
    store.migrate()
    store.close()


@pytest.fixture(scope="session")
def empty_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file with tables and no farm, to be copied."""
    path = tmp_path_factory.mktemp("store") / "empty.db"
    migrated(f"sqlite:///{path}")
    return path


@pytest.fixture
def sqlite_url(empty_sqlite: Path, tmp_path: Path) -> str:
    """The address of an SQLite database with tables and no farm."""
    shutil.copy(empty_sqlite, tmp_path / "farm.db")
    return f"sqlite:///{tmp_path / 'farm.db'}"


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def url(request: pytest.FixtureRequest) -> Iterator[str]:
    """The address of a database of the test's own, on each engine, with tables and no farm."""
    if request.param == "sqlite":
        yield request.getfixturevalue("sqlite_url")
        return
    cluster: Cluster = request.getfixturevalue("postgres_cluster")
    with cluster.database(cluster.template("haulm_tables", migrated)) as address:
        yield address


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A store on each engine, with tables and no farm."""
    opened = Store.open(url)
    yield opened
    opened.close()
