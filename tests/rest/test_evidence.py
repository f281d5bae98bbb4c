"""Records move the forecast at once, and the answer says which did."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from haulm.store.store import Store
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.farms import grower_folder

SITE = """
format = 1
name = "Test farm"
latitude = 52.0
[temperatures]
min_c = [1, 1, 2, 4, 7, 10, 12, 12, 9, 7, 4, 2]
max_c = [7, 8, 10, 13, 17, 20, 22, 22, 19, 14, 10, 7]
"""
BATCHES = """
key,variety,sow_date,method,sown,plants,status
b1,lagurus,2027-03-08,direct,400,300,planted
b2,lagurus,2027-04-19,direct,400,300,planted
b3,briza,2027-04-12,direct,400,300,planted
"""


@pytest.fixture
def door(tmp_path: Path) -> Iterator[Door]:
    store: Store = sqlite_store(tmp_path)
    varieties = "key,name,weeks_to_flower\nlagurus,Hare's tail,12\nbriza,Greater quaking grass,12"
    with Door(desk_over(store, grower_folder(SITE, varieties=varieties, batches=BATCHES), seasons=600)) as door:
        yield door
    store.close()


def middles(door: Door, product: str) -> list[int]:
    """The middling stems ready in the weeks from the first cut on."""
    found = door.get("/v1/availability", from_="2027-W24", weeks=10, product=product)
    return [row["ready_p50"] for row in found["rows"]]


def test_without_records_nothing_moved_the_forecast(door: Door) -> None:
    evidence = door.get("/v1/availability")["evidence"]
    assert evidence == {"effective_seasons": 600, "is_drawn_again": False, "moved_by": [], "shared_out": {}}


def test_a_first_cut_moves_other_varieties_the_same_way_and_is_named(door: Door) -> None:
    before = middles(door, "briza")
    record = {"kind": "first_cut", "batch": "b1", "date": "2027-06-01", "key": "r1"}
    door.post("/v1/records", record)
    evidence = door.get("/v1/availability")["evidence"]
    (moved,) = evidence["moved_by"]
    assert (moved["batch"], moved["records"]) == ("b1", ["r1"])
    assert moved["late_days"] < 0
    assert moved["others_days"] < 0
    # Alone a batch is judged at the need and sensitivity that a season has; for the forecast both are summed over.
    assert evidence["effective_seasons"] == pytest.approx(moved["effective_seasons"], rel=0.05)
    assert evidence["effective_seasons"] < 600
    assert sum(middles(door, "briza")[:4]) > sum(before[:4])
