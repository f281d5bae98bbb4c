"""What the tests of mail share: desks over small farms."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from support.desks import desk_over, sqlite_store


@pytest.fixture
def open_desk(tmp_path: Path) -> Iterator[Callable[[dict[str, bytes]], Desk]]:
    """Opens a desk over the farm of a folder on SQLite."""
    with ExitStack() as stack:

        def opened(files: dict[str, bytes]) -> Desk:
            store = sqlite_store(tmp_path)
            stack.callback(store.close)
            return desk_over(store, files)

        yield opened
