"""Copies of a whole database as one file, whichever database it is, and whether a copy can be read back.

SQLite is copied by its own backup, PostgreSQL by its own programs. A copy is proved by putting it into a scratch
database, bringing that up to date and reading farm, books and journal from it.
"""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import URL, Engine, create_engine, text

from haulm.store.backup import write_backup
from haulm.store.engine import sqlite_file
from haulm.store.errors import BackupRefused

_PATIENCE_S = 1800


def write_copy(engine: Engine, target: Path) -> None:
    """Copies a database to a file that its owner alone may read.

    Raises:
        BackupRefused: it cannot be written, or PostgreSQL's programs are not there.
    """
    if sqlite_file(engine.url) is not None:
        write_backup(engine, target)
    else:
        made = target.with_name(f".{target.name}.{secrets.token_hex(4)}")
        try:
            _run("pg_dump", "--format=custom", "--no-owner", f"--file={made}", _address(engine.url))
            os.chmod(made, 0o600)
            os.replace(made, target)
        finally:
            made.unlink(missing_ok=True)
    os.chmod(target, 0o600)


@contextmanager
def scratch_of(url: URL, copy: Path) -> Iterator[URL]:
    """A scratch database that holds a copy, thrown away afterwards.

    Raises:
        BackupRefused: the copy cannot be put into one.
    """
    if sqlite_file(url) is not None:
        with tempfile.TemporaryDirectory(dir=copy.parent, prefix=".checking-") as folder:
            try:
                shutil.copyfile(copy, Path(folder) / "scratch.db")
            except OSError as fault:
                raise BackupRefused(reason=f"'{copy}' cannot be read: {fault.strerror}.") from None
            yield url.set(database=str(Path(folder) / "scratch.db"))
        return
    scratch = url.set(database=f"haulm_check_{secrets.token_hex(6)}")
    _on_server(url, f'CREATE DATABASE "{scratch.database}"')
    try:
        _run("pg_restore", "--exit-on-error", "--no-owner", f"--dbname={_address(scratch)}", str(copy))
        yield scratch
    finally:
        _on_server(url, f'DROP DATABASE "{scratch.database}" WITH (FORCE)')


def _on_server(url: URL, statement: str) -> None:
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    try:
        with engine.connect() as connection:
            connection.execute(text(statement))
    except Exception as fault:
        reason = f"A scratch database cannot be made: {str(getattr(fault, 'orig', fault)).splitlines()[0]}."
        raise BackupRefused(reason=reason) from None
    finally:
        engine.dispose()


def _address(url: URL) -> str:
    """The address as PostgreSQL's programs read it; a password goes with it, so that none is asked for."""
    return url.set(drivername="postgresql").render_as_string(hide_password=False)


def _run(program: str, *arguments: str) -> None:
    found = shutil.which(program)
    if found is None:
        raise BackupRefused(reason=f"PostgreSQL's program {program} is not on this computer.")
    ended = None
    with suppress(subprocess.TimeoutExpired):
        command = [found, *arguments]  # a program found by its own name, and arguments of our own
        ended = subprocess.run(command, capture_output=True, text=True, timeout=_PATIENCE_S, check=False)  # noqa: S603
    if ended is None or ended.returncode != 0:
        lines = ["it took too long"] if ended is None else (ended.stderr.strip().splitlines() or ["it failed"])
        raise BackupRefused(reason=f"{program}: {lines[-1]}.")
