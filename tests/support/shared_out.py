"""How tests are shared out among the cores: a file's on one of them, and what takes longest is begun first."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from xdist.scheduler import LoadFileScheduling

ROOMS = (
    *("planning", "program", "jobs", "outside", "pages", "store", "mail", "farm_folder", "client", "rest", "paper"),
    *("house", "core"),
)
"""The folders of tests, those with long tests first: where one were begun last, the other core would wait for it."""

OF_ONE_PLAN = {
    f"tests/planning/test_{name}.py" for name in ("absurd_advice", "combined_plan", "remedies", "why_unsure")
}
"""Files that look at the demo farm's plan and have gaps of it worked out: on one core each gap is worked out once."""


class OneCoreForAFile(LoadFileScheduling):
    """A file's tests on one core, and those of all files of one plan."""

    def _split_scope(self, nodeid: str) -> str:
        file = str(super()._split_scope(nodeid))
        return "of one plan" if file in OF_ONE_PLAN else file


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadFileScheduling | None:
    """Shares tests out by file; any other way that is asked for stays as it is."""
    return OneCoreForAFile(config, log) if config.getvalue("dist") == "loadfile" else None


def long_ones_first(items: Iterable[pytest.Item], root: Path) -> list[pytest.Item]:
    """Tests in the order in which they are shared out."""

    def place(item: pytest.Item) -> int:
        parts = item.path.relative_to(root).parts
        return ROOMS.index(parts[0]) if parts[0] in ROOMS else len(ROOMS)

    return sorted(items, key=place)
