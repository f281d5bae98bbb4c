"""Counting back from a day: what to sow when, in words, with the days that follow, and nothing is written."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from haulm.farm.products import Product
from haulm.farm.weeks import Week, day_in_words
from haulm.farm.words import Method
from haulm.jobs.growing.plan_back import BackPlanAsked, plan_back
from haulm.jobs.growing.said_back import said_back
from support.door import Door
from support.known_farm import growing_farm
from support.tapping import words_of

ASKED = {"kind": "lagurus", "stems": "40", "day": "2027-10-05", "method": "cover"}


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with weather, on 14 June."""
    return open_door(growing_farm())


def test_the_page_says_what_the_job_found_and_rest_says_the_same(door: Door) -> None:
    day = date(2027, 10, 5)
    found = plan_back(door.desk, BackPlanAsked(Product("lagurus"), Week.of(day), Method.COVER, 40, day=day))
    said = words_of(door.ask("GET", "/count-back", params=ASKED))
    rest = door.get("/v1/back-plan", product="lagurus", week="2027-10-05", method="cover", stems=40)

    assert said_back(found) in said and rest["sentence"] == said_back(found)
    assert "40 stems for Tue 5 Oct 2027" in said_back(found)
    assert found.plan.best is not None and day_in_words(found.plan.best.day) in said
    planted = date.fromisoformat(rest["best"]["plant_out"])
    assert "Plant out" in said and day_in_words(planted) in said


def test_the_fields_come_back_with_a_sentence_beside_each_at_fault(door: Door) -> None:
    text = door.ask("GET", "/count-back", params={**ASKED, "stems": "many", "day": "soon"}).text

    assert 'id="wrong-stems"' in text and 'id="wrong-day"' in text and 'value="soon"' in text


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"kind": "rose"}, "kind"),
        ({"method": "tuber"}, "method"),
        ({"day": "2027-06-01"}, "day"),
        ({"day": "9999-12-31"}, "day"),
        ({"day": "0001-01-01"}, "day"),
    ],
)
def test_what_cannot_be_counted_back_is_said_beside_its_field(door: Door, changed: dict[str, str], field: str) -> None:
    answer = door.ask("GET", "/count-back", params={**ASKED, **changed})

    assert answer.status_code == 200 and f'id="wrong-{field}"' in answer.text


def test_looking_writes_nothing_and_the_way_on_is_the_picture(door: Door) -> None:
    version = door.desk.store.farm().version
    text = door.ask("GET", "/count-back", params={**ASKED, "method": ""}).text

    assert 'href="/year/lagurus?first=2027-' in text and door.desk.store.farm().version == version
    assert "Sow" in text and ">2027-" not in text


def test_it_is_linked_where_it_is_needed(door: Door) -> None:
    for path in ("/plan", "/year/lagurus", "/find?q=lagurus"):
        assert 'href="/count-back' in door.ask("GET", path).text, path
