"""A couple's page by their link: their order alone, an answer that replaces the last, a yes that is tried at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from haulm.jobs.couples.answer_quote import MOST_A_DAY, last_answer
from haulm.jobs.florists.florist_links import end_links, link_number
from haulm.web.links import Links
from support.desks import NOW, on
from support.door import SECRET, Door
from support.known_farm import known_farm
from support.tapping import tapped, words_of

OpenDoor = Callable[[dict[str, bytes]], Door]
EVENT = date(2027, 6, 20)
PHONE = '[papers]\nphone = "+44 1632 960 123"\n'


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """The farm of known stems with a recipe of its own."""
    return open_door(known_farm(recipes="piece,role,stems\nlittle_jar,texture,4"))


def quoted(door: Door, jars: int = 5, customer: str = "bram") -> str:
    """The key of a new quote of so many little jars."""
    body = {"date": EVENT.isoformat(), "customer": customer, "pieces": [{"piece": "little_jar", "count": jars}]}
    return str(door.post("/v1/quotes", body)["id"])


def page_of(door: Door, key: str, customer: str = "bram") -> str:
    """The path of a couple's page."""
    return Links(SECRET, door.desk.now).couple_path(key, link_number(door.desk, customer))


def test_the_page_says_what_the_paper_says_and_no_percentage(door: Door) -> None:
    key = quoted(door)
    page = door.ask("GET", page_of(door, key))
    said = words_of(page)

    assert page.status_code == 200 and page.headers["referrer-policy"] == "no-referrer"
    assert "in nearly every summer" in said and "little jar" in said and "Total" in said
    # The share that is more for breakage is one of stems, not of how sure anything is.
    assert re.findall(r"\d+ ?%", said) == ["15 %"]
    for theirs in ("/short", "/quotes", "Pause", "pause", key):
        assert theirs not in page.text.replace(page_of(door, key), ""), theirs


def test_a_yes_is_kept_told_to_the_grower_and_no_agreement_by_itself(door: Door) -> None:
    key = quoted(door)
    path = page_of(door, key)
    assert tapped(door, path, "", word="yes").status_code == 303

    assert "You told us on" in words_of(door.ask("GET", path)) and "Yes to what is promised" in words_of(
        door.ask("GET", path)
    )
    assert door.desk.store.farm().orders[-1].status == "quoted"
    assert "Yes to what is promised" in words_of(door.ask("GET", "/"))
    assert "Yes to what is promised" in words_of(door.ask("GET", f"/quotes/{key}"))
    assert door.ask("POST", f"/quotes/{key}/answer-read", data={"once": "read"}).status_code == 303
    assert "Yes to what is promised" not in words_of(door.ask("GET", "/"))
    assert "We have read it" in words_of(door.ask("GET", path))


def test_a_yes_that_cannot_be_agreed_any_more_is_said_to_both_sides_at_once(door: Door) -> None:
    key = quoted(door)
    assert tapped(door, f"/quotes/{quoted(door, 7)}", "contract").status_code == 303
    assert tapped(door, page_of(door, key), "", word="yes").status_code == 303

    said = words_of(door.ask("GET", page_of(door, key)))
    assert "can't be agreed just as it stands" in said
    assert "they were told so" in words_of(door.ask("GET", "/")) and "they were told so" in words_of(
        door.ask("GET", f"/quotes/{key}")
    )
    assert {order.status for order in door.desk.store.farm().orders if order.key == key} == {"quoted"}


def test_the_last_answer_stands(door: Door) -> None:
    key = quoted(door)
    path = page_of(door, key)
    door.ask("POST", path, data={"once": "a", "word": "yes"})
    door.ask("POST", path, data={"once": "b", "word": "numbers", "count-little_jar": "6"})
    door.ask("POST", path, data={"once": "b", "word": "numbers", "count-little_jar": "6"})

    answer = last_answer(door.desk, key)
    assert answer is not None and answer.words == "Their numbers: 6 little jar"
    assert len(door.desk.store.entries_of("couple-answered")) == 2


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"word": "pause"}, "one of the buttons of the page"),
        ({"word": "question"}, "your question, in a few words"),
        ({"word": "question", "note": "x" * 600}, "at most 500"),
        ({"word": "other_day", "day": "2027-02-30"}, "a day picked from the calendar"),
        ({"word": "other_day", "day": "2027-01-01"}, "a day to come"),
        ({"word": "numbers", "count-little_jar": "many"}, "a whole number"),
        ({"word": "numbers"}, "how many of each piece"),
    ],
)
def test_what_cannot_be_is_a_page_with_a_sentence_and_the_farms_phone(
    open_door: OpenDoor, sent: dict[str, str], said: str
) -> None:
    files = known_farm(recipes="piece,role,stems\nlittle_jar,texture,4")
    files["farm.toml"] += f"\n{PHONE}".encode()
    door = open_door(files)
    key = quoted(door)
    answer = door.ask("POST", page_of(door, key), data=sent)

    assert answer.status_code == 422 and said in words_of(answer) and "+44 1632 960 123" in answer.text
    assert last_answer(door.desk, key) is None


def test_so_many_answers_a_day_and_then_a_call(door: Door) -> None:
    key = quoted(door)
    answers = [
        door.ask("POST", page_of(door, key), data={"once": str(turn), "word": "question", "note": "Is it so?"})
        for turn in range(MOST_A_DAY + 1)
    ]
    assert [answer.status_code for answer in answers] == [303] * MOST_A_DAY + [422]
    assert "please ring us" in words_of(answers[-1])


def test_a_link_ends_with_the_customers_links_and_two_months_after_the_day(door: Door) -> None:
    key = quoted(door)
    path = page_of(door, key)
    assert door.ask("GET", path).status_code == 200
    on(door.desk, EVENT + timedelta(days=60))
    assert door.ask("GET", path).status_code == 200
    on(door.desk, EVENT + timedelta(days=61))
    assert door.ask("GET", path).status_code == 403
    on(door.desk, EVENT - timedelta(days=6))
    with door.desk.store.unit_of_work(actor="test", now=NOW) as work:
        end_links(work, "bram")
        work.save()
    assert door.ask("GET", path).status_code == 403
    assert door.ask("GET", page_of(door, key)).status_code == 200


def test_after_the_day_nothing_is_to_be_answered(door: Door) -> None:
    key = quoted(door)
    on(door.desk, EVENT + timedelta(days=3))
    page = door.ask("GET", page_of(door, key)).text
    assert "Your answer" not in page and "<form" not in page
