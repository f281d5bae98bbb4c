"""Why a line is no surer, by REST: the faces, the causes and the words that the pages have too."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from haulm.farm.quantities import percent
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import growing_farm

GAP = "lagurus-2027-W37"


@pytest.fixture
def growing(tmp_path: Path) -> Iterator[Door]:
    """The door to the farm that grows too little."""
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, growing_farm())) as door:
        yield door
    store.close()


def _told(door: Door) -> Any:
    return door.get("/v1/match/anna-1/why", due="2027-09-14")


def test_a_line_says_its_seasons_of_ten_and_causes_that_add_up(growing: Door) -> None:
    told = _told(growing)
    faces = told["faces"]

    assert faces["all"] == pytest.approx(told["confidence"], abs=1e-6)
    assert faces["all"] + faces["part"] + faces["none"] == pytest.approx(1, abs=1e-5)
    assert sum(faces["of_ten"].values()) == 10
    assert sum(cause["share"] for cause in told["causes"]) == pytest.approx(1, abs=1e-6)
    assert told["order_faces"]["asked"] == 40


def test_a_gap_says_the_same_of_its_lines_together_and_its_page_in_the_same_words(growing: Door) -> None:
    told = growing.worked_out().get(f"/v1/gaps/{GAP}/options")
    page = growing.ask("GET", f"/short/{GAP}").text

    assert told["faces"]["sentence"] in page
    assert told["causes"]
    for cause in told["causes"]:
        assert f"{percent(cause['share'])}: {cause['sentence']}".replace("<", "&lt;") in page


def test_the_page_of_a_line_and_of_its_order_say_the_same_sentence(growing: Door) -> None:
    told = _told(growing)["faces"]["sentence"]

    assert told in growing.ask("GET", "/orders/anna-weekly/2027-09-14/anna-1").text
    assert told in growing.ask("GET", "/orders/anna-weekly/2027-09-14").text
