"""What the tests of paper share: doors to small farms, and reading a PDF back."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm

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


def text_of(pdf: bytes) -> str:
    """The words of a PDF, lines and breaks within long words put together."""
    pages = (page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return " ".join(" ".join(pages).replace("\u200b", "").split())
