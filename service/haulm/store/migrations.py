"""Bringing the tables to the state this program needs, and seeing whether they are in it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sqlalchemy import URL, Connection, inspect, text

from haulm.store.engine import database_engine, faults_as_refusals, make_sqlite_file, sqlite_file, writing
from haulm.store.errors import DatabaseNotMigrated, RowNotAccepted

SCHEMA_FOLDER = Path(__file__).parent / "schema"
_ADVISORY_LOCK = 0x4861756C  # any number of our own: one migration at a time on PostgreSQL


def migrate(url: URL, *, schema: Path = SCHEMA_FOLDER) -> None:
    """Makes the tables, or brings them up to date, wholly or not at all.

    It works on connections that do not look at foreign keys: SQLite's way to change a table is to copy it, and dropping
    the old one would take the rows that point at it along. All references are looked at before the commit.

    Raises:
        DatabaseNotMigrated: the tables are newer than this program.
    """
    from haulm.store.upgrading import upgrade

    path = sqlite_file(url)
    if path is not None:
        make_sqlite_file(path)
    engine = database_engine(url, foreign_keys=False)
    try:
        with faults_as_refusals(engine), writing(engine) as connection, connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _ADVISORY_LOCK})
            found = revision(connection)
            if found is not None:
                require_known(found, schema=schema)
            upgrade(connection, schema)
            if engine.dialect.name == "sqlite":
                _check_references(connection)
    finally:
        engine.dispose()


def revision(connection: Connection) -> str | None:
    """The revision that the tables are at; None where there are none."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
    return found


def require_migrated(connection: Connection | None) -> None:
    """Refuses tables that are not as this program needs them; without a connection: there is no database yet.

    Raises:
        DatabaseNotMigrated: they are older, newer or not there.
    """
    found = revision(connection) if connection is not None else None
    if found != newest_revision():
        raise DatabaseNotMigrated(found=found, needed=newest_revision())


def require_known(found: str, *, schema: Path = SCHEMA_FOLDER) -> None:
    """Refuses tables that a newer program made.

    Raises:
        DatabaseNotMigrated: this program knows no such revision.
    """
    if found not in _revisions(schema):
        raise DatabaseNotMigrated(found=found, needed=newest_revision())


@cache
def newest_revision() -> str:
    """The revision that this program needs."""
    return _revisions(SCHEMA_FOLDER)[-1]


def _revisions(schema: Path) -> list[str]:
    """The revisions in order: each is what the name of its file begins with."""
    return sorted(path.name.partition("_")[0] for path in (schema / "versions").glob("[!_]*.py"))


def _check_references(connection: Connection) -> None:
    broken = connection.execute(text("PRAGMA foreign_key_check")).first()
    if broken is not None:
        raise RowNotAccepted(reason=f"after the migration a row of '{broken[0]}' points at no row of '{broken[2]}'")
