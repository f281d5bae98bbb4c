"""The store of one farm: opened once per process, asked by every thread, written through units of work only."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection, select

from haulm.farm.snapshot import Farm
from haulm.store.at_once import AtOnce, Moment
from haulm.store.backup import read_backup
from haulm.store.copies import scratch_of, write_copy
from haulm.store.doors import Doors
from haulm.store.draft import Start
from haulm.store.engine import database_engine, database_url, faults_as_refusals, reading, sqlite_file, writing
from haulm.store.errors import FarmEmpty
from haulm.store.fair_queue import FairQueue
from haulm.store.gap_book import GapBook
from haulm.store.job_book import JobBook
from haulm.store.journal import Entry, FloorRow, Followed, Pile, Promise
from haulm.store.leases import Leases
from haulm.store.migrations import migrate, require_migrated, revision
from haulm.store.outbox import Outbox
from haulm.store.reading import (
    changed_version,
    entries_after,
    entries_of,
    entries_since,
    farm_version,
    floors_from,
    floors_of,
    followed,
    followed_model,
    last_entry,
    last_seq,
    last_written_at,
    loaded_farm,
    promises_where,
    row_version,
    row_versions,
    stem_balances,
)
from haulm.store.season_book import SeasonBook
from haulm.store.tables.catalogue import FARMS, PROMISES
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.writing import locked_farm, write_farm

TURN_WAIT_S = 30
ATTEMPTS = 4
"""How often a writer brings its snapshot up to date outside the transaction before it does so inside."""


class _ReadAlready(threading.local):
    """What a thread has just read, while it says so."""

    version: int | None = None
    farm: Farm | None = None


class Store:
    """A farm in a database. Threads may share it; several processes may work on one database."""

    def __init__(self, url: str, *, farm_id: int = 1) -> None:
        self._url = database_url(url)
        self._engine = database_engine(self._url)
        self._farm_id = farm_id
        self._queue = FairQueue()
        self._loading = threading.Lock()
        self._keeping = threading.Lock()
        self._resident: Farm | None = None
        self._read_already = _ReadAlready()
        self._is_migrated = False
        self._at_once = AtOnce(sqlite_file(self._url))
        self.doors = Doors(self._read, self._write_beside, self._at_once, farm_id)
        """Passwords and passes."""
        self.outbox = Outbox(self._read, self._write_apart, farm_id)
        """Mail on its way out."""
        self.gap_book = GapBook(self._read, self._write_apart, farm_id)
        """The names that gaps keep, and their days."""
        self.job_book = JobBook(self._read, self._write_apart, farm_id)
        """What the recommended ways of gaps are and do."""
        self.season_book = SeasonBook(self._read, self._write_apart, farm_id)
        """The combined plans that were asked for."""
        self.leases = Leases(self._write_apart, farm_id)
        """Who is at work on what."""

    @classmethod
    def open(cls, url: str, *, farm_id: int = 1) -> Store:
        """A store over a database address; nothing is read yet.

        Raises:
            DatabaseUnusable: the address is neither SQLite with a file nor PostgreSQL with its driver.
        """
        return cls(url, farm_id=farm_id)

    def close(self) -> None:
        """Gives back every connection."""
        self._at_once.close()
        self._engine.dispose()

    def migrate(self) -> None:
        """Makes the tables, or brings them up to date.

        Raises:
            DatabaseNotMigrated: the tables are newer than this program.
        """
        migrate(self._url)
        self._is_migrated = True

    def is_empty(self) -> bool:
        """Whether there is no farm yet: no file, no tables, or nothing imported."""
        path = sqlite_file(self._url)
        if path is not None and not path.exists():
            return True
        with faults_as_refusals(self._engine), reading(self._engine) as connection:
            if revision(connection) is None:
                return True
            found = connection.execute(select(FARMS.c.site.is_not(None)).where(FARMS.c.id == self._farm_id))
            return not found.scalar_one_or_none()

    def ping(self) -> None:
        """Asks the database for a sign of life.

        Raises:
            DatabaseUnreachable: there is none.
            DatabaseNotMigrated: the tables are not as this program needs them.
        """
        self.version()

    def version(self) -> int:
        """The farm's version; 0 before anything was written."""
        if (read := self._read_already.version) is not None:
            return read
        with self._read() as connection:
            return farm_version(connection, self._farm_id)

    def changed_version(self) -> int:
        """The last version that changed a row, a promise or stems: a letter that was sent, for one, is none.

        What is worked out of the farm at this version is as true of every later one.
        """
        with self._read() as connection:
            return changed_version(connection, self._farm_id)

    def moment(self) -> Moment | None:
        """A value that is another one as soon as anybody has written anything at all to the database since.

        It is told without waiting; None where it is not known, as on PostgreSQL.
        """
        return self._at_once.moment()

    @contextmanager
    def read_already(self, version: int) -> Iterator[bool]:
        """While it is open, this thread takes the farm's version to be one that it has just read.

        Gives whether the farm at that version is in memory, so that `farm` waits for nothing meanwhile.
        """
        known = self._resident
        self._read_already.farm = known if known is not None and known.version == version else None
        self._read_already.version = version
        try:
            yield self._read_already.farm is not None
        finally:
            self._read_already.farm = self._read_already.version = None

    def farm(self) -> Farm:
        """The farm as it stands; the last version read stays in memory, so that asking again costs one query.

        Raises:
            FarmEmpty: nothing was imported yet.
        """
        farm = self._latest()
        if farm is None:
            raise FarmEmpty
        return farm

    @contextmanager
    def unit_of_work(self, *, actor: str, now: datetime) -> Iterator[UnitOfWork]:
        """A write transaction, alone on this farm until it is left; `save()` commits, leaving without it rolls back.

        Args:
            actor: who writes, as an id.
            now: the real time, in UTC, that entries get.

        Raises:
            StoreBusy: the turn or the database's lock did not come in time.
        """
        assert now.utcoffset() is not None, "the time of a unit of work needs an offset"
        with self._queue.turn(wait_s=TURN_WAIT_S), faults_as_refusals(self._engine):
            self._require_migrated()
            with writing(self._engine) as connection:
                farm, version = self._locked(connection)
                yield UnitOfWork(connection, Start(self._farm_id, actor, now, farm, version), self._keep)

    def row_version(self, collection: str, key: str) -> int | None:
        """The version of one row (the farm's version that wrote it last); None where there is no such row."""
        with self._read() as connection:
            return row_version(connection, self._farm_id, collection, key)

    def row_versions(self, collection: str) -> dict[str, int]:
        """The version of every row of a collection, by key."""
        with self._read() as connection:
            return row_versions(connection, self._farm_id, collection)

    def entries(self, *, after: int = 0, limit: int | None = None) -> tuple[Entry, ...]:
        """Entries of the journal in order, from the one after `after` on, at most `limit`."""
        with self._read() as connection:
            return entries_after(connection, self._farm_id, after, limit)

    def next_seq(self) -> int:
        """The place in the journal that the next entry gets, as long as nothing is written before it."""
        with self._read() as connection:
            return last_seq(connection, self._farm_id) + 1

    def last_written_at(self) -> datetime | None:
        """When anything was last entered; None before the first time."""
        with self._read() as connection:
            return last_written_at(connection, self._farm_id)

    def last_entry(self, kind: str, subject: str) -> Entry | None:
        """The last entry of a kind about a subject; None where there is none."""
        with self._read() as connection:
            return last_entry(connection, self._farm_id, kind, subject)

    def entries_of(self, *kinds: str, about: str | None = None) -> tuple[Entry, ...]:
        """Entries of these kinds in order; about one subject, if it is named."""
        with self._read() as connection:
            return entries_of(connection, self._farm_id, kinds, about)

    def promises(self, *, order: str | None = None, line: str | None = None) -> tuple[Promise, ...]:
        """Records of the promises book, oldest first; of one order or line, if named; the last one stands."""
        wanted = [PROMISES.c.order == order] if order is not None else []
        wanted += [PROMISES.c.line == line] if line is not None else []
        with self._read() as connection:
            return promises_where(connection, self._farm_id, *wanted)

    def floors(self, first: date) -> tuple[FloorRow, ...]:
        """What promises last said of floors, of what is due from a day on: a row for each line and delivery."""
        with self._read() as connection:
            return floors_from(connection, self._farm_id, first)

    def followed(self) -> Followed | None:
        """When floors were last looked at, and what they were; None before the first time."""
        with self._read() as connection:
            return followed(connection, self._farm_id)

    def followed_model(self) -> int | None:
        """The forecast model whose figures floors rest on; None before they were first looked at."""
        with self._read() as connection:
            return followed_model(connection, self._farm_id)

    def entries_since(self, version: int) -> tuple[Entry, ...]:
        """The entries of the versions after one, in order."""
        with self._read() as connection:
            return entries_since(connection, self._farm_id, version)

    def floor_rows(self) -> tuple[FloorRow, ...]:
        """Every row of floors, oldest first."""
        with self._read() as connection:
            return floors_of(connection, self._farm_id)

    def stem_balances(self) -> dict[Pile, int]:
        """The stems of every pile that is not empty; only the field is ever below zero."""
        with self._read() as connection:
            return stem_balances(connection, self._farm_id)

    def gaps_written(self) -> int:
        """A number that rises with everything that is written of gaps and of the jobs that close them."""
        followed, kept = self.gap_book.followed(), self.job_book.kept()
        return (0 if followed is None else followed.writes) + (0 if kept is None else kept.writes)

    def backup(self, path: Path) -> None:
        """Copies the database to one file that its owner alone may read, while others go on working.

        Raises:
            BackupRefused: the file cannot be written, or PostgreSQL's programs are not there.
        """
        with self._read():
            write_copy(self._engine, path)

    @contextmanager
    def scratch(self, copy: Path) -> Iterator[Store]:
        """A store over a scratch database that holds such a copy, thrown away afterwards.

        Raises:
            BackupRefused: the copy cannot be put into one.
        """
        with scratch_of(self._url, copy) as url:
            store = Store(url.render_as_string(hide_password=False), farm_id=self._farm_id)
            try:
                store.migrate()
                yield store
            finally:
                store.close()

    def restore(self, path: Path, *, actor: str, now: datetime) -> int:
        """Puts a backup in place of the database, brings it up to date, and gives the farm's version.

        The version is higher than any before, so that nobody takes an answer of the lost days for one of today.

        Raises:
            BackupRefused: the database is PostgreSQL, or the file is not a whole backup.
            DatabaseNotMigrated: the backup is of a newer program.
        """
        self.migrate()
        # What is told by the version and by what was written of gaps together never falls.
        before = self.version() + self.gaps_written()
        with self._queue.turn(wait_s=TURN_WAIT_S):
            self._engine.dispose()
            read_backup(self._engine, path)
            self._resident = None
            self._is_migrated = False
            self.migrate()
            with faults_as_refusals(self._engine), writing(self._engine) as connection:
                version, _ = locked_farm(connection, self._farm_id)
                write_farm(
                    connection, self._farm_id, {"version": (now_at := max(before, version)), "changed_version": now_at}
                )
                connection.commit()
        with self.unit_of_work(actor=actor, now=now) as work:
            work.enter("farm-restored", "farm", {"version_before": before})
            return work.save()

    @contextmanager
    def _read(self) -> Iterator[Connection]:
        with faults_as_refusals(self._engine):
            self._require_migrated()
            with reading(self._engine) as connection:
                yield connection

    @contextmanager
    def _write_beside(self) -> Iterator[Connection]:
        """A write transaction for what is kept beside the farm and is no part of its journal; committed at its end."""
        with self._write_apart() as connection:
            locked_farm(connection, self._farm_id)
            yield connection

    @contextmanager
    def _write_apart(self) -> Iterator[Connection]:
        """The same without the farm's own lock: for rows that workers take from each other."""
        with faults_as_refusals(self._engine):
            self._require_migrated()
            with writing(self._engine) as connection:
                yield connection
                connection.commit()

    def _require_migrated(self) -> None:
        if self._is_migrated:
            return
        path = sqlite_file(self._url)
        with faults_as_refusals(self._engine):
            if path is not None and not path.exists():
                require_migrated(None)
            with reading(self._engine) as connection:
                require_migrated(connection)
        self._is_migrated = True

    def _latest(self) -> Farm | None:
        """The farm at its current version, from memory where that is the one."""
        if (read := self._read_already.farm) is not None:
            return read
        if (known := self._resident) is not None and known.version == self.version():
            return known
        with self._loading, self._read() as connection:
            if (known := self._resident) is not None and known.version == farm_version(connection, self._farm_id):
                return known
            farm = loaded_farm(connection, self._farm_id)
        if farm is not None:
            self._keep(farm)
        return farm

    def _locked(self, connection: Connection) -> tuple[Farm | None, int]:
        """Begins the transaction with the farm's row locked; gives the farm at its version, and the version.

        The farm is read before the lock is taken. If another process wrote in between, it is read again; only after
        several such misses is it read under the lock, where others wait for it.
        """
        for _ in range(ATTEMPTS):
            farm = self._latest()
            version, has_site = locked_farm(connection, self._farm_id)
            if farm.version == version if farm is not None else not has_site:
                return farm, version
            connection.rollback()
        version, _ = locked_farm(connection, self._farm_id)
        return loaded_farm(connection, self._farm_id), version

    def _keep(self, farm: Farm) -> None:
        """Keeps a farm in memory unless a later one is there."""
        with self._keeping:
            if self._resident is None or farm.version >= self._resident.version:
                self._resident = farm
