"""What the tests of paper share: doors to small farms, and reading a PDF back."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm
from support.paper_reading import text_of

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
def party_door(open_door: OpenDoor) -> Door:
    """The door to the farm of known stems with Bram's orders."""
    return open_door(known_farm(**PARTY))


Paper = Callable[..., str]


@pytest.fixture
def paper() -> Paper:
    """Asks a door for a paper and reads its text back, spaces put together."""

    def read(door: Door, path: str) -> str:
        answer = door.ask("GET", path)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf"), answer.text
        return text_of(answer.content)

    return read
