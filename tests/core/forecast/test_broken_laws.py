"""Each metamorphic law fails when its cause is broken.

The slow half runs the laws against broken copies of the service:

    HAULM_TEST_SCALE=large pytest tests/core/forecast/test_broken_laws.py
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from support.broken_causes import BREAKS, LAWS, ROOT, SERVICE, Break, verdict

TESTS_FAILED = 1


@pytest.mark.parametrize("broken", BREAKS, ids=lambda broken: broken.law)
def test_the_line_to_break_is_there_once(broken: Break) -> None:
    assert (SERVICE / broken.path).read_text(encoding="utf-8").count(broken.was) == 1


def test_every_law_has_a_cause_to_break() -> None:
    laws = re.findall(r"^def test_(\w+)\(", (ROOT / LAWS).read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted(laws) == sorted(broken.law for broken in BREAKS)
    assert len(laws) >= 12


@pytest.mark.slow
@pytest.mark.parametrize("broken", BREAKS, ids=lambda broken: broken.law)
def test_a_law_fails_when_its_cause_is_broken(broken: Break, tmp_path: Path) -> None:
    assert verdict(broken, tmp_path) == TESTS_FAILED
