"""`haulm-service` as its users start it, in a process of its own, or in this one; over a database of the test's own."""

import io
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import httpx
import pytest

import haulm
from haulm.jobs.farm.import_farm import import_farm
from haulm.program import main
from haulm.store.store import Store
from support.desks import sqlite_store
from support.live_service import PATIENCE_S

SERVING = "Serving on "
COMMAND = (sys.executable, "-m", "haulm.program")


@dataclass(frozen=True)
class Said:
    """What a run ended with."""

    exit_code: int
    out: str
    err: str


class Program:
    """The program over the database `farm.db` in a folder, with the settings given."""

    command = COMMAND

    def __init__(self, folder: Path, **settings: str) -> None:
        self.folder = folder
        self.temporary = folder / "temporary"
        self.temporary.mkdir(exist_ok=True)
        self.database_url = f"sqlite:///{folder / 'farm.db'}"
        # Started dozens of times, so what Python compiles is kept, even where whoever runs the tests does without.
        self._environ = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | {
            "HAULM_DATABASE_URL": self.database_url,
            "HAULM_TODAY": "2027-03-15",
            # The package that the tests import, wherever that is, and what the tests have of their own.
            "PYTHONPATH": os.pathsep.join([str(Path(haulm.__file__).parents[1]), str(Path(__file__).parents[1])]),
            "TMPDIR": str(self.temporary),
            "XDG_DATA_HOME": str(folder / "data"),
            **settings,
        }

    @contextmanager
    def store(self) -> Iterator[Store]:
        """The store of the program's database, opened in this process."""
        store = Store.open(self.database_url)
        try:
            yield store
        finally:
            store.close()

    def hold(self, folder: Path) -> None:
        """Imports a folder in this process, which is quicker where the import is not what is tried."""
        with closing(sqlite_store(self.folder)) as store:
            import_farm(store, folder, replace=False, actor="program", now=datetime.now(UTC))

    def run(self, *arguments: object, typed: str = "", patience_s: int = PATIENCE_S * 4) -> Said:
        """Runs one command to its end, given what is typed; a traceback is never what a user should see."""
        found = subprocess.run(
            [*self.command, *map(str, arguments)],
            env=self._environ,
            cwd=self.folder,
            input=typed.encode(),
            capture_output=True,
            timeout=patience_s,
        )
        said = Said(found.returncode, found.stdout.decode(), found.stderr.decode())
        assert "Traceback" not in said.err, said.err
        return said

    def done(self, *arguments: object, patience_s: int = PATIENCE_S * 4) -> Said:
        """Runs a command that must be done, and without a word of complaint."""
        said = self.run(*arguments, patience_s=patience_s)
        assert said.exit_code == 0, said.err
        return said

    def refusal(self, *arguments: object, exit_code: int = 1) -> str:
        """Runs a command that must be refused in one sentence, which it gives."""
        said = self.run(*arguments)
        assert (said.exit_code, said.out) == (exit_code, ""), said
        assert said.err.endswith(".\n") and said.err.count("\n") == 1, said.err
        return said.err.rstrip("\n")

    @contextmanager
    def started(self, *arguments: object, out: int = subprocess.PIPE) -> Iterator["subprocess.Popen[str]"]:
        """Starts a command, its words into a file or a pipe, and ends it at the latest with the block."""
        with subprocess.Popen(
            [*self.command, *map(str, arguments)], env=self._environ, cwd=self.folder, stdout=out, text=True
        ) as process:
            try:
                yield process
            finally:
                process.kill()

    @contextmanager
    def serving(self, *arguments: object) -> Iterator["Running"]:
        """Starts a command that serves, and waits until it says its address."""
        with self.started(*arguments) as process:
            yield Running(process, tuple(_said_before_serving(process)), self.folder)


class ProgramOfFewSeasons(Program):
    """The program drawing few seasons, where what it does is tried and not how it comes out."""

    command = (sys.executable, "-m", "support.few_seasons")


class ProgramHere(Program):
    """The program run by its own function in this process: no second is spent to start it where no start is tried."""

    def run(self, *arguments: object, typed: str = "", patience_s: int = PATIENCE_S * 4) -> Said:
        """Runs one command to its end; what it does not catch is raised in the test."""
        out, err = io.StringIO(), io.StringIO()
        with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
            patch.chdir(self.folder)
            patch.setattr(sys, "stdin", io.StringIO(typed))
            patch.setattr(tempfile, "tempdir", str(self.temporary))
            for name, value in self._environ.items():
                patch.setenv(name, value)
            try:
                exit_code = main([str(argument) for argument in arguments])
            except SystemExit as ended:
                exit_code = int(ended.code or 0)
        return Said(exit_code, out.getvalue(), err.getvalue())


@dataclass(frozen=True)
class Running:
    """A service that runs, the lines it said until it served, its address in the last, and the folder it runs in."""

    process: "subprocess.Popen[str]"
    said: tuple[str, ...]
    folder: Path

    @property
    def address(self) -> str:
        """Where it is asked."""
        return self.said[-1].removeprefix(SERVING).split()[0]

    def health(self) -> int:
        """The status of a sign of life."""
        return httpx.get(f"{self.address}/healthz", timeout=PATIENCE_S).status_code

    def stop(self, number: signal.Signals = signal.SIGINT) -> int:
        """Asks it to end; gives its exit code."""
        self.process.send_signal(number)
        return self.process.wait(PATIENCE_S)


def _said_before_serving(process: "subprocess.Popen[str]") -> Iterator[str]:
    assert process.stdout is not None
    for line in process.stdout:
        yield line
        if line.startswith(SERVING):
            return
    raise AssertionError(f"the program ended with {process.wait()} before it said its address")
