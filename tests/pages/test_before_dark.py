"""Frost tonight? The page and REST say what to cut first, looking writes nothing, and a tap sends one letter."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest

from support.door import Door
from support.known_farm import known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
GROWING = {
    "beds": "key,name,kind\nsouth,South bed,outdoor\nhouse,Tunnel,tunnel",
    "batches": """
        key,variety,sow_date,method,bed,status,sown
        b1,lagurus,2027-03-01,cover,south,planted,40
        """,
}


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """60 hare's-tail stand in a bed in the open, 25 of them for Anna tomorrow."""
    return open_door(known_farm(**GROWING))


def page_of(door: Door, path: str) -> str:
    return unescape(door.ask("GET", path).text)


def test_the_page_says_what_to_cut_for_whom_and_how_long_it_keeps(door: Door) -> None:
    page = page_of(door, "/tonight?threat=hail")

    assert "About 60 stand ready; cut today they keep until Fri 18 Jun 2027." in page
    assert "25 for Studio Anna Verhoeven, leaving Tue 15 Jun 2027" in page
    assert "About 35 have no promise yet" in page and "South bed" in page
    assert (
        "25 Bunny tail for Studio Anna Verhoeven, leaving Tue 15 Jun 2027: 100 % sure if it is cut, 0 % if not." in page
    )


def test_rest_says_the_same(door: Door) -> None:
    told = door.get("/v1/tonight", threat="hail")
    page = page_of(door, "/tonight?threat=hail")

    (row,) = told["cut"]
    assert all(words in page for words in (row["name"], row["beds"], row["by_day"], row["rest"], *row["for_whom"]))
    assert all(sentence in page for sentence in (*told["rescued"], *told["general"], told["head"]))
    assert told["min_c"] is None


def test_looking_writes_nothing(door: Door) -> None:
    before = door.desk.store.version(), len(door.desk.store.entries()), door.desk.store.outbox.posted()
    for path in ("/tonight", "/tonight?threat=frost&cold=-6", "/tonight?threat=heat"):
        assert door.ask("GET", path).status_code == 200

    assert before == (door.desk.store.version(), len(door.desk.store.entries()), door.desk.store.outbox.posted())


def test_a_tap_sends_one_letter_to_the_farm_without_names(door: Door) -> None:
    form = {"threat": "hail", "cold": "", "once": "a-key"}
    assert [door.ask("POST", "/tonight", data=form).status_code for _ in range(2)] == [303, 303]

    letters: Any = [one for one in door.desk.store.outbox.posted() if one.kind == "before-dark"]
    assert len(letters) == 1 and letters[0].customer is None
    (claimed,) = door.desk.store.outbox.claim("post", door.desk.now(), 5)
    said = str(claimed.letter.facts)
    assert "about 60 stand ready" in said and "25 for Tue 15 Jun 2027" in said
    assert "Verhoeven" not in said and "anna" not in said.lower()


def test_what_cannot_come_is_refused_in_a_sentence(door: Door) -> None:
    for path in ("/tonight?threat=locusts", "/tonight?threat=frost&cold=-80", "/tonight?threat=frost&cold=cold"):
        answer = door.ask("GET", path)
        assert answer.status_code == 422 and "Traceback" not in answer.text
    assert "frost, heat or hail" in page_of(door, "/tonight?threat=locusts")
    door.refused(422, "GET", "/v1/tonight?threat=locusts")
    door.refused(422, "GET", "/v1/tonight?threat=frost&min_c=-80")


def test_a_frost_that_harms_nothing_says_so(door: Door) -> None:
    assert "Nothing that stands in the field would be lost." in page_of(door, "/tonight?threat=frost&cold=-1")


def test_today_and_more_lead_there(door: Door) -> None:
    assert all('href="/tonight"' in door.ask("GET", path).text for path in ("/", "/more"))
