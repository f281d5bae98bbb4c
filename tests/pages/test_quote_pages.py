"""Quotes in a browser, without scripts: a new one, its page, and a step as a button."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import KNOWN_STEMS, VARIETIES, known_farm
from support.tapping import tapped

OpenDoor = Callable[[dict[str, bytes]], Door]


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

    assert (made.status_code, "in nearly every summer" in quotes_door.ask("GET", path).text) == (303, True)
    assert tapped(quotes_door, path, "hold", until="2027-06-18").status_code == 303
    assert "on hold" in quotes_door.ask("GET", "/quotes").text


@pytest.fixture
def asking(open_door: OpenDoor) -> tuple[Door, str]:
    """A quote that asks about ranunculus in a posy, for a home with cats: its door and its page."""
    kinds = "    ranunculus,White ranunculus,texture,cream,4,3,10,900,\n    "
    stems = "    r1,ranunculus,2027-06-14,60,\n    "
    door = open_door(
        known_farm(
            varieties=VARIETIES.rstrip(" ") + kinds,
            known_stems=KNOWN_STEMS.rstrip(" ") + stems,
            recipes="piece,role,stems\nposy,texture,4",
        )
    )
    form = {"date": "2027-06-20", "palette": "cream", "count-posy": "5", "home-cats": "on"}
    return door, door.ask("POST", "/quotes/new", data=form).headers["location"].partition("?")[0]


def decide(door: Door, quote: str, **form: str) -> str:
    """What a tap leads to."""
    sent = {"variety": "ranunculus", "use": "worn", "quote": quote.rpartition("/")[2], **form}
    answer = door.ask("POST", "/decisions", data=sent)
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_a_kind_that_does_harm_is_asked_about_and_decided_with_a_tap(asking: tuple[Door, str]) -> None:
    door, path = asking
    text = door.ask("GET", path).text
    for said in ("1 for you to decide", ">harmful<", "Use it all the same", "Keep it out", "until you decide"):
        assert said in text
    assert "Hoped for: Bunny tail." in text and "In their home" in text

    assert decide(door, path, decision="use", note="gloves") == f"{path}?said=decided"

    text = door.ask("GET", path).text
    assert "for you to decide" not in text
    for said in (
        "White ranunculus",
        "You use it all the same in what is worn or held (posy). Your note: gloves",
        "harmful to pets",
    ):
        assert said in text


def test_a_decision_is_listed_and_taken_back_and_the_quote_answered_anew(asking: tuple[Door, str]) -> None:
    door, path = asking
    decide(door, path, decision="keep_out")
    text = door.ask("GET", "/decisions").text
    assert "Kept out of what is worn or held." in text and "Mon 14 Jun 2027" in text

    assert decide(door, "", decision="ask") == "/decisions?said=decided"
    assert "You have decided nothing yet." in door.ask("GET", "/decisions").text
    # Taken back elsewhere, it stands here as it was answered until it is answered anew.
    assert "You decided about some kinds since" in door.ask("GET", path).text
    assert tapped(door, path, "anew", says_homes="yes", **{"home-dogs": "on"}).status_code == 303
    text = door.ask("GET", path).text
    assert "1 for you to decide" in text and "At home: dogs, before cats." in text


def test_a_decision_may_be_for_one_piece_only(asking: tuple[Door, str]) -> None:
    door, path = asking
    assert '<option value="posy">posy only</option>' in door.ask("GET", path).text

    decide(door, path, decision="use", only="posy")

    assert "Used all the same in posy." in door.ask("GET", "/decisions").text


@pytest.mark.parametrize("wrong", [{"decision": "perhaps"}, {"decision": "use", "use": "hair"}])
def test_a_tap_that_says_nothing_known_is_refused(asking: tuple[Door, str], wrong: dict[str, str]) -> None:
    door, _ = asking
    sent = {"variety": "ranunculus", "use": "worn", **wrong}
    assert door.ask("POST", "/decisions", data=sent).status_code == 422


def test_a_form_that_cannot_be_read_is_a_page_with_one_sentence(quotes_door: Door) -> None:
    answer = quotes_door.ask("POST", "/quotes/new", data={"date": "soon", "count-little_jar": "5"})

    assert (answer.status_code, "a day such as 2027-08-14" in answer.text) == (422, True)


def test_what_stands_today_is_held_by_itself_with_a_tap(quotes_door: Door) -> None:
    form = {"date": "2027-06-20", "palette": "cream", "count-little_jar": "30"}
    path = quotes_door.ask("POST", "/quotes/new", data=form).headers["location"].partition("?")[0]

    text = quotes_door.ask("GET", path).text
    for said in ("We promise", "More than our field gives", "It has no price", "Hold what stands today"):
        assert said in text
    assert tapped(quotes_door, path, "hold", part="stands", until="2027-06-18").status_code == 303

    text = quotes_door.ask("GET", path).text
    assert "What stands today alone." in text and "Hold what stands today" not in text
