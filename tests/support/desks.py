"""A desk over a farm written as a grower would type it: a store of the test's own, few seasons, a clock to set."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import TypeVar

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import import_farm
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork

Found = TypeVar("Found")

NOW = datetime(2027, 6, 14, 6, 30, tzinfo=UTC)
MONDAY = date(2027, 6, 14)


@dataclass
class Calendar:
    """The clock of a test: `day` is today until it is set anew."""

    day: date = MONDAY

    def __call__(self) -> date:
        """Today."""
        return self.day


def desk_over(store: Store, files: dict[str, bytes], *, today: date = MONDAY, seasons: int = 200) -> Desk:
    """A desk over an empty store, with the farm of a folder imported."""
    with tempfile.TemporaryDirectory() as folder:
        for name, content in files.items():
            (Path(folder) / name).write_bytes(content)
        import_farm(store, Path(folder), replace=False, actor="test", now=NOW)
    return Desk(store, Planner(Drawing(seasons, 1)), Calendar(today), lambda: NOW)


def on(desk: Desk, day: date) -> None:
    """Let it be another day."""
    assert isinstance(desk.today, Calendar)
    desk.today.day = day


def done(desk: Desk, job: Callable[[UnitOfWork], Found]) -> Found:
    """One job in a unit of work of its own, saved."""
    with desk.store.unit_of_work(actor="owner", now=NOW) as work:
        found = job(work)
        work.save()
    return found


def migrated(url: str) -> None:
    """Makes the tables in an empty database."""
    store = Store.open(url)
    store.migrate()
    store.close()


def sqlite_store(folder: Path) -> Store:
    """A store over an SQLite file with tables and no farm."""
    (folder / "farm.db").write_bytes(_empty_sqlite())
    return Store.open(f"sqlite:///{folder / 'farm.db'}")


@cache
def _empty_sqlite() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "empty.db"
        migrated(f"sqlite:///{path}")
        return path.read_bytes()
