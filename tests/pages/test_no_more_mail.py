"""Ending mail by its link: a look ends nothing, one click does, a forged link does not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from haulm.jobs.florists.no_more_mail import THE_FARM, wants_no_mail
from haulm.web.links import Holder, Links
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import known_farm

ONE_CLICK = {"content-type": "application/x-www-form-urlencoded", "sec-fetch-site": "cross-site"}


@pytest.fixture
def door(tmp_path: Path) -> Iterator[Door]:
    """The door to the farm of known stems."""
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm())) as opened:
        yield opened
    store.close()


def path_of(door: Door, customer: str) -> str:
    """The link at the foot of a letter."""
    links: Links = door.app.state.links
    return links.no_more_mail_path(Holder(customer, 0))


@pytest.mark.parametrize("customer", ["anna", THE_FARM])
def test_a_look_ends_nothing_one_click_does_and_a_button_begins_it_again(door: Door, customer: str) -> None:
    path = path_of(door, customer)
    assert "Stop the" in door.ask("GET", path).text
    assert not wants_no_mail(door.desk, customer)

    answer = door.ask("POST", path, content=b"List-Unsubscribe=One-Click", headers=ONE_CLICK)
    assert (answer.status_code, wants_no_mail(door.desk, customer)) == (200, True)

    assert "again after all" in answer.text
    door.ask("POST", f"{path}/again", content=b"")
    assert not wants_no_mail(door.desk, customer)


def test_a_forged_link_ends_nothing(door: Door) -> None:
    forged = path_of(door, "anna")[:-12] + "A" * 12

    assert door.ask("POST", forged, content=b"", headers=ONE_CLICK).status_code in (403, 404, 410)
    assert not wants_no_mail(door.desk, "anna")
