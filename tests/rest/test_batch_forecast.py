"""GET /v1/batches/{key}/forecast, and typical seasons in GET /v1/outlook."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

import pytest

from haulm.forecast.parts_of_doubt import Part
from support.door import Door
from support.farms import grower_folder
from support.forecast_builders import COOL_MARITIME
from support.known_farm import SITE, growing_farm, known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
PATH = "/v1/batches/first/forecast"


@pytest.fixture
def growing(open_door: OpenDoor) -> Door:
    """The door to the farm that grows one batch, which was sown."""
    door = open_door(growing_farm())
    door.ask("POST", "/v1/records", json={"key": "s1", "date": "2027-05-25", "kind": "sown", "batch": "first"})
    return door


def test_a_batch_is_told_by_the_days_of_its_first_stem_its_stems_and_the_share_of_seasons_without(
    growing: Door,
) -> None:
    found = growing.get(PATH)
    days = [date.fromisoformat(found["first_stem"][level]) for level in ("p10", "p50", "p90")]
    assert found["batch"] == "first"
    assert date(2027, 7, 1) < days[0] <= days[1] <= days[2] < date(2027, 11, 1)
    assert 0 < found["stems"]["p10"] < found["stems"]["p50"] < found["stems"]["p90"]
    assert 0 <= found["none"] < 0.2
    assert sum(one["share"] for one in found["doubt"]) == pytest.approx(1)
    assert {one["part"] for one in found["doubt"]} == {str(part) for part in Part}


def test_the_page_says_the_same_figures(growing: Door) -> None:
    found, page = growing.get(PATH), growing.ask("GET", "/plan/first").text
    assert found["sentence"] in page
    assert f"{found['stems']['p50']} stems ({found['stems']['p10']} to {found['stems']['p90']})" in found["sentence"]
    for one in found["typical"]:
        assert f"{one['name'].capitalize()}: {one['stems']} stems" in page


def test_typical_seasons_are_told_of_the_batch_and_of_its_product_in_the_outlook(growing: Door) -> None:
    own = growing.get(PATH)["typical"]
    assert [one["name"] for one in own] == ["poor", "middling", "good"]
    assert [one["stems"] for one in own] == sorted(one["stems"] for one in own)
    for one in own:
        assert sum(week["stems"] for week in one["weeks"]) == one["stems"]
    (product,) = growing.get("/v1/outlook")["typical"]
    assert product["product"] == "lagurus"
    assert [one["name"] for one in product["seasons"]] == ["poor", "middling", "good"]


def test_a_batch_that_counts_for_nothing_says_why_and_has_no_figures(growing: Door) -> None:
    growing.ask("POST", "/v1/records", json={"key": "r1", "date": "2027-06-14", "kind": "lost", "batch": "first"})
    found = growing.get(PATH)
    assert found["first_stem"] == found["stems"] == {"p10": None, "p50": None, "p90": None}
    assert (found["none"], found["typical"], found["doubt"]) == (1, [], [])
    assert found["sentence"] == "It gives no more stems: it is recorded as lost."
    assert found["sentence"] in growing.ask("GET", "/plan/first").text


def test_a_plan_that_was_not_followed_says_since_when(open_door: OpenDoor) -> None:
    found = open_door(growing_farm()).get(PATH)
    assert found["none"] == 1
    assert found["sentence"].startswith("It was to be started on Tue 25 May 2027 and nothing was recorded")


@pytest.mark.parametrize(("warmer_c", "flowers"), [(0.0, True), (9.0, False)])
def test_where_winters_are_too_mild_for_a_kind_the_cold_it_lacks_is_said(
    open_door: OpenDoor, warmer_c: float, flowers: bool
) -> None:
    low, high = ([round(one + warmer_c, 1) for one in month] for month in (COOL_MARITIME.min_c, COOL_MARITIME.max_c))
    files = grower_folder(
        site=f"{SITE}\n[temperatures]\nmin_c = {low}\nmax_c = {high}\n",
        varieties="key,name\ntulip,Tulip",
        batches="key,variety,sow_date,method,sown,plants\nfirst,tulip,2027-11-05,tuber,100,100",
    )
    found = open_door(files).get(PATH)
    if flowers:
        assert found["none"] < 0.2
        assert "cold days" not in found["sentence"]
    else:
        assert found["none"] > 0.9
        assert re.search(
            r"No Tulip from the open ground here: \d+ of 90 cold days in the usual winter\.", found["sentence"]
        )


def test_it_is_kept_as_bytes_until_the_farm_changes(growing: Door) -> None:
    first = growing.ask("GET", PATH)
    tag = {"If-None-Match": first.headers["ETag"]}
    assert growing.ask("GET", PATH, headers=tag).status_code == 304
    growing.ask("PATCH", "/v1/batches/first", json={"plants": 5})
    again = growing.ask("GET", PATH, headers=tag)
    assert again.status_code == 200
    assert again.json()["stems"]["p50"] < first.json()["stems"]["p50"]


def test_a_batch_that_is_not_there_is_refused(growing: Door) -> None:
    answer = growing.ask("GET", "/v1/batches/rose/forecast")
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/not-found")


def test_a_farm_without_a_climate_is_asked_for_it(open_door: OpenDoor) -> None:
    batches = "key,variety,sow_date,method,sown,plants\nl1,lagurus,2027-06-20,direct,15,10"
    answer = open_door(known_farm(batches=batches)).ask("GET", "/v1/batches/l1/forecast")
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/climate-missing")
