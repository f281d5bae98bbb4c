"""Copying an SQLite database to a file and back while the service runs. PostgreSQL has its own tools for that."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine

from haulm.store.engine import LOCK_WAIT_S, sqlite_address, sqlite_file
from haulm.store.errors import BackupRefused
from haulm.store.migrations import require_known

_FIRST_BYTES = b"SQLite format 3\x00"


def write_backup(engine: Engine, target: Path) -> None:
    """Copies the database to a file of its own, whole and checked, in place of an older backup.

    Raises:
        BackupRefused: the database is not SQLite, or the file is not a backup, or cannot be written.
    """
    source = _file_of(engine, "pg_dump")
    if target.exists() and (not _is_database(target) or target.samefile(source)):
        raise BackupRefused(reason=f"'{target}' is there already and is no backup; say another file.")
    try:
        handle, made = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    except OSError as fault:
        raise BackupRefused(reason=f"'{target}' cannot be written: {fault.strerror}.") from None
    os.close(handle)
    try:
        with closing(_opened(source)) as live, closing(_opened(Path(made))) as copy:
            live.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
            _require_whole(copy, target)
        os.replace(made, target)
    finally:
        Path(made).unlink(missing_ok=True)


def read_backup(engine: Engine, source: Path) -> None:
    """Puts a backup in place of everything in the database.

    Raises:
        BackupRefused: the database is not SQLite, or the file is not a whole backup of Haulm, or somebody is writing.
        DatabaseNotMigrated: a newer program made the backup.
    """
    target = _file_of(engine, "pg_restore")
    if not source.is_file() or not _is_database(source):
        raise BackupRefused(reason=f"'{source}' is not a backup.")
    try:
        with closing(_opened(source, read_only=True)) as copy, closing(_opened(target)) as live:
            _require_whole(copy, source)
            require_known(_revision(copy, source))
            copy.backup(live)
    except sqlite3.Error as fault:
        raise BackupRefused(reason=f"'{source}' could not be put in place: {fault}.") from None


def _file_of(engine: Engine, instead: str) -> Path:
    path = sqlite_file(engine.url)
    if path is None:
        raise BackupRefused(reason=f"The database is PostgreSQL: use its own program {instead}.")
    return path


def _opened(path: Path, *, read_only: bool = False) -> sqlite3.Connection:
    # A backup may lie on a disk that cannot be written.
    return sqlite3.connect(sqlite_address(path, read_only=read_only), uri=True, timeout=LOCK_WAIT_S)


def _is_database(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(_FIRST_BYTES)) == _FIRST_BYTES


def _revision(copy: sqlite3.Connection, path: Path) -> str:
    if copy.execute("SELECT 1 FROM sqlite_master WHERE name = 'alembic_version'").fetchone() is None:
        raise BackupRefused(reason=f"'{path}' is a database, but not one of Haulm's.")
    return str(copy.execute("SELECT version_num FROM alembic_version").fetchone()[0])


def _require_whole(copy: sqlite3.Connection, path: Path) -> None:
    said = copy.execute("PRAGMA integrity_check").fetchone()[0]
    if said != "ok":
        raise BackupRefused(reason=f"'{path}' is damaged: {said.splitlines()[0]}.")
