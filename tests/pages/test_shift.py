"""The page of a kind with a sowing shifted and a week chosen: it answers, writes nothing, and leads on."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from support.door import Door
from support.known_farm import growing_farm
from support.tapping import words_of
from support.typed_forms import forms_of


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm that grows too little, on 14 June."""
    return open_door(growing_farm())


def key_of(door: Door) -> str:
    (key,) = (batch.key for batch in door.desk.store.farm().batches if batch.variety == "lagurus")
    return key


def test_a_shift_is_told_writes_nothing_and_is_written_by_the_form_of_the_row(door: Door) -> None:
    key, version = key_of(door), door.desk.store.farm().version
    text = door.ask("GET", f"/year/lagurus?sowing={key}&weeks=4&size=300").text

    assert "Supposed, nothing is written." in text and "300 places" in text
    assert door.desk.store.farm().version == version
    path = text.split("Write it so")[0].rsplit('href="', 1)[1].split('"')[0].replace("&amp;", "&")
    shown = door.ask("GET", path).text
    assert "Nothing is written until you save it." in shown
    form = next(one for one in forms_of(shown) if one.action == f"/farm/sowings/row/{key}")
    assert door.ask("POST", form.action, data=form.fields).status_code == 303
    (row,) = (one for one in door.get("/v1/batches")["rows"] if one["key"] == key)
    assert path.split("sow_date=")[1].split("&")[0] == row["sow_date"] and row["sown"] == 300


def test_what_is_left_out_leads_to_the_page_that_takes_it_out(door: Door) -> None:
    key = key_of(door)
    text = door.ask("GET", f"/year/lagurus?sowing={key}&out=yes").text

    assert "nothing comes of it" in text and f'href="/farm/sowings/out/{key}"' in text


def test_what_cannot_be_stands_beside_its_field(door: Door) -> None:
    key = key_of(door)

    assert 'id="wrong-weeks"' in door.ask("GET", f"/year/lagurus?sowing={key}&weeks=soon").text
    assert 'id="wrong-size"' in door.ask("GET", f"/year/lagurus?sowing={key}&size=none").text
    assert 'id="wrong-weeks"' in door.ask("GET", f"/year/lagurus?sowing={key}&weeks=-9").text


def test_a_week_is_a_link_of_the_picture_and_says_itself_in_words(door: Door) -> None:
    assert 'href="/year/lagurus?week=2027-W37#week"' in door.ask("GET", "/year/lagurus").text
    said = words_of(door.ask("GET", "/year/lagurus?week=2027-W37"))

    assert "The week from Mon 13 Sep 2027" in said and "40 are promised." in said
    assert "Close what is short" in said and "Anna" in said
    assert door.ask("GET", "/year/lagurus?week=2031-W01").status_code == 422
