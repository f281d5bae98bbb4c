"""What the tests of the use cases share: desks over small farms on SQLite."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from support.desks import desk_over, sqlite_store
from support.known_farm import PARTY, known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def open_desk(tmp_path: Path) -> Iterator[OpenDesk]:
    """Opens a desk over the farm of a folder."""
    with ExitStack() as stack:

        def opened(files: dict[str, bytes]) -> Desk:
            store = sqlite_store(tmp_path)
            stack.callback(store.close)
            return desk_over(store, files)

        yield opened


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    """A desk over the farm of known stems."""
    return open_desk(known_farm())


@pytest.fixture
def party_desk(open_desk: OpenDesk) -> Desk:
    """A desk over the farm of known stems with Bram's orders."""
    return open_desk(known_farm(**PARTY))
