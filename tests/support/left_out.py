"""Tests that need a program which this machine lacks: left out and said so at the end; in CI they fail."""

import os
from collections import Counter
from collections.abc import Iterable
from typing import NoReturn

import pytest


def leave_out(missing: str) -> NoReturn:
    """Leaves out the test that asks, or fails it in CI.

    Args:
        missing: what is missing and how it is had, such as `Chromium is not installed: apt install chromium`.
    """
    if "CI" in os.environ:
        pytest.fail(missing, pytrace=False)
    pytest.skip(missing)


def left_out_line(reasons: Iterable[str]) -> str:
    """What was left out and why, in one line; nothing where nothing was.

    Args:
        reasons: why, one for each test that was left out.
    """
    counted = Counter(reason.removeprefix("Skipped: ") for reason in reasons)
    told = (f"{count} test{'' if count == 1 else 's'} ({reason})" for reason, count in sorted(counted.items()))
    return f"Left out: {', '.join(told)}." if counted else ""


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Says at the end of a run, of however many processes, what was left out."""
    reports: list[pytest.TestReport] = terminalreporter.getreports("skipped")
    line = left_out_line(report.longrepr[2] for report in reports if isinstance(report.longrepr, tuple))
    if line:
        terminalreporter.write_line(line)
