"""A PostgreSQL cluster of the tests' own, over the programs that the machine has; each test gets a database to itself.

The cluster listens on a socket in its own folder, never on a port, and does not wait for the disk. It sorts text as
English does, not by code point, so that a query which leans on the database's order is caught.
"""

import itertools
import os
import pwd
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import psycopg

ADVICE = "PostgreSQL 15 or later is not installed: on Debian, apt install postgresql"
UNSAFE_BUT_FAST = (
    "fsync=off",
    "synchronous_commit=off",
    "full_page_writes=off",
    "listen_addresses=",
    "shared_buffers=32MB",
)
LEAST_VERSION = 15


class PostgresMissing(Exception):
    """The machine has no PostgreSQL that the tests could start."""


@dataclass
class Cluster:
    """A running cluster.

    Attributes:
        folder: holds its data, its socket and its log.
        made: the databases prepared once, by name.
    """

    folder: Path
    made: set[str] = field(default_factory=set)
    _numbers: Iterator[int] = field(default_factory=itertools.count)

    def url(self, database: str) -> str:
        """The address of a database for SQLAlchemy."""
        return f"postgresql+psycopg://postgres@/{database}?host={self.folder}"

    def run(self, statement: str) -> None:
        """Runs one statement outside any transaction, as the cluster's owner."""
        with psycopg.connect(host=str(self.folder), user="postgres", dbname="postgres", autocommit=True) as connection:
            connection.execute(statement.encode())

    def prepared(self, name: str, prepare: Callable[[str], None]) -> str:
        """A database prepared once, such as by the migrations; `prepare` is given its address."""
        if name not in self.made:
            self.run(f"CREATE DATABASE {name}")
            prepare(self.url(name))
            self.made.add(name)
        return name

    @contextmanager
    def emptied(self, name: str) -> Iterator[str]:
        """The address of a database, which every row is taken out of at the end, so that the next test may have it.

        To make and drop one each time costs far more. Rows that are never edited go too, since no trigger is asked.
        """
        try:
            yield self.url(name)
        finally:
            with psycopg.connect(host=str(self.folder), user="postgres", dbname=name, autocommit=True) as connection:
                connection.execute(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                    "WHERE datname = current_database() AND pid <> pg_backend_pid()"
                )
                connection.execute("SET session_replication_role = replica")
                found = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
                tables = [table for (table,) in found if table != "alembic_version"]
                connection.execute("; ".join(f'DELETE FROM "{table}"' for table in tables).encode())

    @contextmanager
    def copied(self, template: str) -> Iterator[str]:
        """The address of a new database, a copy of one that is prepared, dropped at the end."""
        name = f"test_{next(self._numbers)}"
        self.run(f"CREATE DATABASE {name} TEMPLATE {template}")
        try:
            yield self.url(name)
        finally:
            self.run(f"DROP DATABASE {name} WITH (FORCE)")


@contextmanager
def running_cluster() -> Iterator[Cluster]:
    """Makes and starts a cluster; stops and removes it at the end.

    Raises:
        PostgresMissing: no server's programs were found, or root has no user `postgres` to run them as.
    """
    programs = server_programs()
    owner = server_owner()
    folder = Path(tempfile.mkdtemp(prefix="haulm-pg-"))
    try:
        if owner is not None:
            os.chown(folder, owner.pw_uid, owner.pw_gid)
        initialise = ["--auth=trust", "--username=postgres", "--no-sync", "--encoding=UTF8"]
        english = ["--locale=C", "--locale-provider=icu", "--icu-locale=en"]
        run_as(owner, folder, programs / "initdb", "-D", folder / "data", *initialise, *english)
        settings = " ".join(f"-c {setting}" for setting in UNSAFE_BUT_FAST)
        start = ["-w", "-l", folder / "log", "-o", f"-k {folder} {settings}", "start"]
        run_as(owner, folder, programs / "pg_ctl", "-D", folder / "data", *start)
        try:
            yield Cluster(folder)
        finally:
            run_as(owner, folder, programs / "pg_ctl", "-D", folder / "data", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


def server_programs() -> Path:
    """The folder of the newest server's programs."""
    found = [folder for folder in Path("/usr/lib/postgresql").glob("*/bin") if (folder / "initdb").exists()]
    elsewhere = shutil.which("initdb")
    if not found and elsewhere is not None:
        found = [Path(elsewhere).resolve().parent]
    versions = {server_version(folder): folder for folder in found}
    if not versions or max(versions) < LEAST_VERSION:
        raise PostgresMissing(ADVICE)
    return versions[max(versions)]


def server_version(programs: Path) -> int:
    """The main version of the server in a folder, such as 15."""
    said = subprocess.run([programs / "postgres", "--version"], capture_output=True, text=True, check=True).stdout
    number = re.search(r"\d+", said)
    assert number is not None, said
    return int(number.group())


def server_owner() -> pwd.struct_passwd | None:
    """Who runs the server: the user `postgres` where we are root, since the server refuses to run as root."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam("postgres")
    except KeyError:
        raise PostgresMissing(f"{ADVICE}; root needs a user 'postgres' to run it as") from None


def run_as(owner: pwd.struct_passwd | None, folder: Path, *command: str | Path) -> None:
    """Runs a program of the server's, as its owner, and says what went wrong if it fails."""
    identity = {} if owner is None else {"user": owner.pw_uid, "group": owner.pw_gid, "extra_groups": []}
    # Not captured through a pipe: the server keeps its starter's pipe open, and the reader would wait for ever.
    with tempfile.TemporaryFile() as said:
        ended = subprocess.run(command, cwd=folder, stdin=subprocess.DEVNULL, stdout=said, stderr=said, **identity)
        said.seek(0)
        assert ended.returncode == 0, f"{command[0]} failed: {said.read().decode()}"
