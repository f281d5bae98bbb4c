"""The page of a rhythm: a sentence with slots, a list that writes nothing, one tap that writes all of it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from support.door import Door
from support.farms import grower_folder
from support.tapping import form_of, words_of

SITE = """
    format = 1
    name = "Rhythm farm"
    latitude = 52.1
    [temperatures]
    min_c = [1.3, 1.4, 2.5, 4.0, 7.1, 10.1, 12.2, 12.2, 10.1, 7.4, 4.3, 2.4]
    max_c = [6.6, 7.9, 10.6, 13.6, 16.8, 19.7, 22.0, 22.0, 19.5, 15.0, 10.2, 7.2]
    """
SLOTS = {
    "variety": "zinnia",
    "every": "3",
    "first": "2027-06-14",
    "last": "2027-07-31",
    "places": "72",
    "method": "cover",
    "bed": "long",
}


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    beds = "key,name,metres,width_cm\nlong,Long bed,12,120\nbench,Bench,,"
    return open_door(grower_folder(site=SITE, varieties="key,name\nzinnia,White zinnia", beds=beds))


def test_the_list_is_shown_and_nothing_is_written(door: Door) -> None:
    said = words_of(door.ask("GET", "/rhythm", params=SLOTS))

    assert "Nothing is written yet." in said
    assert "Mon 14 Jun 2027" in said and "Mon 5 Jul 2027" in said and "Mon 26 Jul 2027" in said
    assert "Put these 3 sowings in the plan" in said and "Long bed" in said
    assert door.get("/v1/batches")["rows"] == []


def test_one_tap_writes_them_all_and_a_second_tap_none(door: Door) -> None:
    text = door.ask("GET", "/rhythm", params=SLOTS).text
    form = form_of(text[text.index('method="post"') - 40 :], "/rhythm")

    first, second = (door.ask("POST", "/rhythm", data=form) for _ in range(2))

    assert first.status_code == second.status_code == 303
    rows = door.get("/v1/batches")["rows"]
    assert [(row["sow_date"], row["sown"], row["bed"]) for row in rows] == [
        (day, 72, "long") for day in ("2027-06-14", "2027-07-05", "2027-07-26")
    ]


@pytest.mark.parametrize(
    ("slot", "typed", "beside"),
    [
        ("every", "often", "a whole number"),
        ("first", "", "a day of the calendar"),
        ("last", "2027-06-01", "on or after the first"),
        ("places", "0", "a whole number from 1 on"),
        ("method", "established", "a way of sowing"),
        ("variety", "peony", "a kind that the farm grows"),
    ],
)
def test_what_cannot_be_stands_beside_its_slot_with_what_was_typed(
    door: Door, slot: str, typed: str, beside: str
) -> None:
    for answer in (
        door.ask("GET", "/rhythm", params={**SLOTS, slot: typed}),
        door.ask("POST", "/rhythm", data={**SLOTS, slot: typed}),
    ):
        assert beside in answer.text.split(f'id="wrong-{slot}"')[1].split("</p>")[0]
        assert 'value="2027-07-31"' in answer.text or slot == "last"
    assert door.get("/v1/batches")["rows"] == []


def test_a_farm_without_kinds_is_shown_where_they_are_picked(open_door: Callable[[dict[str, bytes]], Door]) -> None:
    assert "grows no kind yet" in open_door(grower_folder()).ask("GET", "/rhythm").text
