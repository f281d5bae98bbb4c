"""Quotes in a browser, without scripts: a new one, its page, and a step as a button."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import known_farm


@pytest.fixture
def quotes_door(tmp_path: Path) -> Iterator[Door]:
    """The door to the farm of known stems with a recipe of its own."""
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm(recipes="piece,role,stems\nlittle_jar,texture,4"))) as door:
        yield door
    store.close()


def test_a_quote_is_made_seen_and_held_with_forms_alone(quotes_door: Door) -> None:
    assert "little jar" in quotes_door.ask("GET", "/quotes/new").text
    form = {"date": "2027-06-20", "palette": "cream", "count-little_jar": "5"}

    made = quotes_door.ask("POST", "/quotes/new", data=form)
    path = made.headers["location"].partition("?")[0]

    assert (made.status_code, "we expect to have these" in quotes_door.ask("GET", path).text) == (303, True)
    assert quotes_door.ask("POST", f"{path}/hold", data={"until": "2027-06-18"}).status_code == 303
    assert "on hold" in quotes_door.ask("GET", "/quotes").text


def test_a_form_that_cannot_be_read_is_a_page_with_one_sentence(quotes_door: Door) -> None:
    answer = quotes_door.ask("POST", "/quotes/new", data={"date": "soon", "count-little_jar": "5"})

    assert (answer.status_code, "a day such as 2027-08-14" in answer.text) == (422, True)
