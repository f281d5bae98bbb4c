"""What the tests of the pages share: doors to the small farms, each over a database of the test's own."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, growing_farm, known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]


@pytest.fixture
def open_door(tmp_path: Path) -> Iterator[OpenDoor]:
    """Opens the door to the farm of a folder on SQLite."""
    with ExitStack() as stack:

        def opened(files: dict[str, bytes]) -> Door:
            store = sqlite_store(tmp_path)
            stack.callback(store.close)
            return stack.enter_context(Door(desk_over(store, files)))

        yield opened


@pytest.fixture
def known(open_door: OpenDoor) -> Door:
    """The door to the farm of known stems with Bram's orders."""
    return open_door(known_farm(**PARTY))


@pytest.fixture
def growing(open_door: OpenDoor) -> Door:
    """The door to the farm that grows too little."""
    return open_door(growing_farm())
