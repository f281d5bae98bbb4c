"""What the tests of the program share: the program over an empty database of the test's own."""

from pathlib import Path

import pytest

from support.service_program import Program, ProgramHere


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program in a folder of its own."""
    return Program(tmp_path)


@pytest.fixture
def here(tmp_path: Path) -> ProgramHere:
    """The program in a folder of its own, run in this process."""
    return ProgramHere(tmp_path)
