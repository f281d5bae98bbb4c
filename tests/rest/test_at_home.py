"""Ticks of what is at home or ordered, by REST: written once, seen on options and days, taken back."""

from __future__ import annotations

from typing import Any

import pytest

from haulm.jobs.gaps.follow_gaps import work_out_gaps
from support.door import Door
from support.known_farm import growing_farm

SEED = {"variety": "lagurus", "what": "seed", "state": "at_home"}


@pytest.fixture
def growing(open_door: Any) -> Door:
    """The door to the farm that grows too little."""
    return open_door(growing_farm())


def first_sowing(door: Door) -> dict[str, Any]:
    work_out_gaps(door.desk)
    (gap,) = door.get("/v1/shortfalls")["gaps"]
    found: list[dict[str, Any]] = door.get(f"/v1/gaps/{gap['gap']}/options")["options"]
    return next(option for option in found if option["batches"] and option["batches"][0]["method"] != "plugs")


def test_a_tick_makes_the_day_to_act_the_day_to_sow_and_taken_back_it_is_as_before(growing: Door) -> None:
    before = first_sowing(growing)
    assert not before["at_home"]

    ticked = growing.post("/v1/at-home", SEED)
    assert (ticked["date"], ticked["holds_until"], ticked["holds"]) == ("2027-06-14", "2027-10-31", True)
    assert ticked["sentence"].startswith("Seed of ") and ticked["sentence"].endswith("until Sun 31 Oct 2027.")
    after = first_sowing(growing)
    assert after["at_home"] and after["order_by"] is None and after["act_by"] == after["sow_by"] == before["sow_by"]
    assert growing.get("/v1/at-home")["ticks"] == [ticked]

    gone = growing.post("/v1/at-home", {**SEED, "state": "none"})
    assert gone["state"] == "none" and growing.get("/v1/at-home")["ticks"] == []
    assert first_sowing(growing) == before


def test_a_tick_asked_twice_is_written_once(growing: Door) -> None:
    first = growing.post("/v1/at-home", SEED)
    version = growing.desk.store.version()

    assert growing.post("/v1/at-home", SEED) == first
    assert growing.desk.store.version() == version
    assert growing.post("/v1/at-home", {**SEED, "state": "ordered"})["state"] == "ordered"
    assert growing.desk.store.version() == version + 1


@pytest.mark.parametrize(
    ("changed", "status", "said"),
    [
        ({"variety": "tulip"}, 404, "tulip"),
        ({"what": "cuttings"}, 422, "seed, plugs, tubers"),
        ({"state": "there"}, 422, "at_home, ordered, none"),
        ({"state": "none"}, 404, "tick"),
    ],
)
def test_what_is_not_accepted_says_what_would_be(
    changed: dict[str, str], status: int, said: str, growing: Door
) -> None:
    answer = growing.ask("POST", "/v1/at-home", json={**SEED, **changed})
    assert answer.status_code == status and said in answer.text


def test_pages_tick_and_take_back_by_name(growing: Door) -> None:
    work_out_gaps(growing.desk)
    (gap,) = growing.get("/v1/shortfalls")["gaps"]
    here = f"/short/{gap['gap']}"
    name = growing.get("/v1/varieties")["rows"][0]["name"]
    assert f"Seed of {name}: at home" in growing.ask("GET", here).text.replace("&#39;", "'")

    answer = growing.ask("POST", f"{here}/at-home", data=SEED)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{here}?said=ticked")
    page = growing.ask("GET", here).text.replace("&#39;", "'")
    assert f"Seed of {name}: at home, ticked on Mon 14 Jun 2027" in page
    assert f"Seed of {name}: take the tick back" in growing.ask("GET", "/at-home").text.replace("&#39;", "'")

    assert growing.ask("POST", "/at-home", data={**SEED, "state": "none"}).status_code == 303
    assert "Nothing is ticked yet" in growing.ask("GET", "/at-home").text
