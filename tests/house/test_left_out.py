"""A run on a machine that lacks a program says what it left out and what to install, in one line."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from support.left_out import leave_out, left_out_line
from support.project_tree import ROOT

LACKS = """
import pytest
from support.left_out import leave_out

@pytest.fixture(scope="session")
def server():
    leave_out("PostgreSQL is not installed: apt install postgresql")

def test_one(server): ...
def test_two(server): ...
def test_three(): leave_out("Chromium is not installed: apt install chromium")
def test_four(): ...
"""


def test_what_was_left_out_is_said_by_the_processes_together(tmp_path: Path) -> None:
    (tmp_path / "test_lacks.py").write_text(LACKS, encoding="utf-8")
    (tmp_path / "conftest.py").write_text("from support.left_out import pytest_terminal_summary", encoding="utf-8")
    (tmp_path / "pytest.ini").write_text(f"[pytest]\npythonpath = {ROOT / 'tests'}", encoding="utf-8")
    without_ci = {name: value for name, value in os.environ.items() if name not in ("CI", "PYTEST_ADDOPTS")}
    command = [sys.executable, "-m", "pytest", "-q", "-n", "1", "-p", "no:cacheprovider"]
    run = subprocess.run(command, cwd=tmp_path, env=without_ci, capture_output=True, text=True, timeout=120)

    assert run.returncode == 0, run.stdout + run.stderr
    assert run.stdout.splitlines()[-2:-1] == [
        "Left out: 1 test (Chromium is not installed: apt install chromium), "
        "2 tests (PostgreSQL is not installed: apt install postgresql)."
    ]
    assert run.stdout.splitlines()[-1].startswith("1 passed, 3 skipped")


def test_where_nothing_is_left_out_nothing_is_said() -> None:
    assert left_out_line([]) == ""


def test_in_ci_what_is_missing_fails_its_tests(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="apt install chromium"):
        leave_out("Chromium is not installed: apt install chromium")


def test_the_projects_own_run_says_it_too() -> None:
    text = (ROOT / "tests" / "conftest.py").read_text(encoding="utf-8")

    assert "from support.left_out import leave_out, pytest_terminal_summary" in text
