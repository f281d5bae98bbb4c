"""How the database is spoken to: address, settings of SQLite and PostgreSQL, transactions, faults as refusals.

Transactions of writers are opened by `writing`, those of readers by `reading`; a reader sees one moment throughout.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from sqlite3 import Connection as SqliteConnection
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, IntegrityError, OperationalError, StatementError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from haulm.store.errors import DatabaseUnreachable, DatabaseUnusable, RowNotAccepted, StoreBusy

WEB_THREADS = 40
"""Threads of the web framework that may hold a connection at once; the pool is as large, and a little for jobs."""
LOCK_WAIT_S = 10
SYNCHRONOUS = "FULL"
"""SQLite waits until what was committed is on the disk, so that it outlives a loss of power too."""
_WRITES = "haulm_writes"
_LOCK_NOT_AVAILABLE = "55P03"  # PostgreSQL: lock_timeout passed
_UNTRANSLATABLE = ("22", "23")  # PostgreSQL: data exceptions and integrity violations

to_json = partial(json.dumps, allow_nan=False, separators=(",", ":"))


def database_url(text: str) -> URL:
    """The address of a database that Haulm can use: an SQLite file, or PostgreSQL.

    Raises:
        DatabaseUnusable: it is neither, or the driver is not installed.
    """
    try:
        url = make_url(text)
    except ArgumentError:
        raise DatabaseUnusable(
            reason="The database address is not one: say sqlite:///FILE or postgresql://..."
        ) from None
    kind = url.drivername.partition("+")[0]
    if kind == "sqlite":
        if not url.database or url.database == ":memory:":
            raise DatabaseUnusable(reason="SQLite needs a file: say sqlite:///FILE.")
        return url.set(drivername="sqlite+pysqlite")
    if kind in ("postgresql", "postgres"):
        if find_spec("psycopg") is None:
            raise DatabaseUnusable(reason="PostgreSQL needs its driver: pip install 'haulm[service,postgres]'.")
        return url.set(drivername="postgresql+psycopg")
    raise DatabaseUnusable(reason=f"A database of the kind '{kind}' cannot be used: say sqlite or postgresql.")


def database_engine(url: URL, *, foreign_keys: bool = True) -> Engine:
    """An engine with Haulm's settings; migrations ask for one that does not look at foreign keys."""
    if url.get_backend_name() == "sqlite":
        return _sqlite_engine(url, foreign_keys=foreign_keys)
    return _postgres_engine(url)


def sqlite_file(url: URL) -> Path | None:
    """The file of an SQLite database; None for PostgreSQL."""
    if url.get_backend_name() != "sqlite":
        return None
    assert url.database is not None
    return Path(url.database)


def sqlite_address(path: Path, *, read_only: bool) -> str:
    """The address under which SQLite's own driver opens a file that is there."""
    return f"{path.absolute().as_uri()}?mode={'ro' if read_only else 'rw'}"


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection whose transactions are a writer's: on SQLite it is alone from its first statement on.

    Nothing is begun and nothing committed here; what is not committed is rolled back at the end.
    """
    with engine.connect().execution_options(**{_WRITES: True}) as connection:
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that sees one moment of the database and leaves nothing behind."""
    options: dict[str, Any] = {}
    if engine.dialect.name == "postgresql":
        options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    with engine.connect().execution_options(**options) as connection:
        yield connection


@contextmanager
def faults_as_refusals(engine: Engine) -> Iterator[None]:
    """Turns what the database complains about into refusals of one sentence, without the values of the statement.

    Raises:
        RowNotAccepted: a constraint was broken or a value does not fit its column.
        StoreBusy: a lock was not given in time.
        DatabaseUnreachable: anything else that the database or its driver reports.
    """
    try:
        yield
    except PoolTimeout as fault:
        raise StoreBusy(waited_s=LOCK_WAIT_S) from fault
    except StatementError as fault:
        raise _refusal(fault, engine) from fault


def _refusal(fault: StatementError, engine: Engine) -> RowNotAccepted | StoreBusy | DatabaseUnreachable:
    said = str(fault.orig).splitlines()[0].rstrip(".") if str(fault.orig) else type(fault.orig).__name__
    sqlstate = str(getattr(fault.orig, "sqlstate", None) or "")
    if isinstance(fault, IntegrityError) or not isinstance(fault, DBAPIError) or sqlstate.startswith(_UNTRANSLATABLE):
        return RowNotAccepted(reason=said)
    if sqlstate == _LOCK_NOT_AVAILABLE or (isinstance(fault, OperationalError) and "locked" in said):
        return StoreBusy(waited_s=LOCK_WAIT_S)
    return DatabaseUnreachable(database=engine.url.render_as_string(hide_password=True), reason=said)


def _sqlite_engine(url: URL, *, foreign_keys: bool) -> Engine:
    engine = create_engine(
        url,
        # The driver opens no transactions of its own; the `begin` event below does.
        connect_args={"isolation_level": None, "check_same_thread": False, "timeout": LOCK_WAIT_S},
        json_serializer=to_json,
        hide_parameters=True,  # a logged error must not show a name
        **_pool(),
    )

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: SqliteConnection, _record: object) -> None:
        connection.execute(f"PRAGMA busy_timeout = {LOCK_WAIT_S * 1000}")
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA secure_delete = ON")  # what was erased of a person is not left in free pages
        connection.execute(f"PRAGMA synchronous = {SYNCHRONOUS}")
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(_WRITES, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _postgres_engine(url: URL) -> Engine:
    engine = create_engine(url, json_serializer=to_json, hide_parameters=True, pool_pre_ping=True, **_pool())

    @event.listens_for(engine, "connect")
    def set_session(connection: Any, _record: object) -> None:
        connection.execute(f"SET lock_timeout = '{LOCK_WAIT_S}s'")
        connection.commit()

    return engine


def _pool() -> dict[str, Any]:
    return {"pool_size": WEB_THREADS, "max_overflow": 8, "pool_timeout": LOCK_WAIT_S}


def make_sqlite_file(path: Path) -> None:
    """Makes an empty file, and its folder, that only its owner may read: it will hold names and addresses."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
