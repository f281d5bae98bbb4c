"""A bucket day from a phone with a poor line: what is sent twice is done once, and what is asked is told whole."""

from collections.abc import Callable
from typing import Any

import pytest

from haulm.store.words import Account
from support.bucket_days import bucket_farm
from support.door import Door

MONDAY = "/v1/bucket-lists/2027-06-14"
TUESDAY = "2027-06-15"


@pytest.fixture
def field_door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """The door to the farm of two beds, with 90 stems counted for 60, 40 and 20."""
    opened = open_door(bucket_farm())
    opened.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 90, "not_ready": 20}]})
    return opened


def held(door: Door, account: Account) -> int:
    """The stems in an account."""
    return sum(stems for pile, stems in door.desk.store.stem_balances().items() if pile.account is account)


def test_the_walk_shows_what_was_counted_and_keeps_the_buds_as_a_note(field_door: Door) -> None:
    walk = field_door.get("/v1/walk")
    (kind,) = walk["kinds"]

    assert (kind["variety"], kind["last"], kind["last_on"], kind["sprayed"]) == ("lagurus", 90, "2027-06-14", False)
    assert kind["beds"] == [stop["name"] for stop in walk["stops"]] == ["North bed", "South bed"]
    (record,) = field_door.get("/v1/records")["rows"]
    assert (record["variety"], record["count"], record["note"]) == ("lagurus", 90, "20 not ready")


def test_a_walk_sent_twice_under_one_key_is_written_once(field_door: Door) -> None:
    body = {"counts": [{"variety": "lagurus", "standing": 70}], "frost": True}
    first = field_door.post("/v1/walk", body, Idempotency_Key="monday")
    again = field_door.post("/v1/walk", body, Idempotency_Key="monday")

    assert first == again
    assert len(first["records"]) == 2
    assert len(field_door.get("/v1/records")["rows"]) == 3


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"counts": []},
        {"counts": [{"variety": "tulip", "standing": 5}]},
        {"counts": [{"variety": "lagurus", "standing": 5}, {"variety": "tulip", "standing": 5}]},
        {"counts": [{"variety": "lagurus", "standing": 5}, {"variety": "lagurus", "standing": 6}]},
        {"counts": [{"variety": "lagurus", "standing": -1}]},
    ],
)
def test_a_walk_with_one_fault_is_not_written(field_door: Door, body: object) -> None:
    field_door.refused(422, "POST", "/v1/walk", json=body)

    assert len(field_door.get("/v1/records")["rows"]) == 1


def test_the_cut_list_says_what_to_cut_where_and_for_whom(field_door: Door) -> None:
    (row,) = field_door.get("/v1/cut-lists/2027-06-14")["rows"]

    assert (row["product"], row["stems"]) == ("lagurus", 90)
    assert [bed["bed"] for bed in row["beds"]] == ["North bed", "South bed"]
    assert [(one["customer"], one["stems"]) for one in row["for"] if one["stems"]] == [("anna", 60), ("bram", 30)]
    # Nobody counted beyond 90, and more may stand: what is asked beside them is cut where it does.
    assert row["up_to"] == sum(one["up_to"] for one in row["for"]) > 90
    field_door.refused(422, "GET", "/v1/cut-lists/2027-06-15")


def test_a_cut_is_in_the_store_once_however_often_it_is_sent(field_door: Door) -> None:
    body = {"variety": "lagurus", "stems": 40, "left": 50}
    for _ in range(2):
        (record,) = field_door.post("/v1/cuts", body, Idempotency_Key="first-bucket")["records"]

    (stored,) = field_door.get("/v1/store")["stems"]
    assert (stored["pile"], stored["stems"]) == (record, 40)
    assert (stored["cut_on"], stored["usable_from"], stored["over"]) == ("2027-06-14", "2027-06-15", False)


def test_an_even_share_is_confirmed_with_its_working(field_door: Door) -> None:
    field_door.post("/v1/cuts", {"batch": "older", "stems": 90, "left": 0})
    confirmed = field_door.settle(MONDAY, {"evenly": ["lagurus"]})

    lines = [line for customer in confirmed["customers"] for line in customer["lines"]]
    assert [(line["filled"], line["share"]["exact"], line["share"]["extra_bunches"]) for line in lines] == [
        (50, 45.0, 1),
        (30, 30.0, 0),
        (10, 15.0, 0),
    ]
    assert held(field_door, Account.PACKED) == 90


def test_the_fill_rate_and_the_year_tell_what_was_sent_in_the_end(field_door: Door) -> None:
    field_door.post("/v1/cuts", {"batch": "older", "stems": 90, "left": 0})
    field_door.settle(MONDAY)
    field_door.post(f"{MONDAY}/correct", {"line": "anna-1", "due": TUESDAY, "stems": 45, "reason": "back_in_store"})

    (anna,) = field_door.get("/v1/fill-rate", customer="anna")["days"]
    assert (anna["asked"], anna["sent"], anna["share"]) == (60, 45, 0.75)
    season = field_door.get("/v1/season-end", year=2027)
    (batch,) = season["batches"]
    assert (batch["batch"], batch["cut"], batch["sold"]) == ("older", 90, 75)
    assert season["customers"][0] == {"customer": "anna", "asked": 60, "sent": 45}
    assert field_door.get("/v1/season-end", year=2026)["batches"] == []


def test_what_is_expected_is_told_once_and_shared_as_it_was_kept(field_door: Door) -> None:
    field_door.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 90}]})
    before = lines_of(field_door.get(MONDAY))
    shared = lines_of(field_door.post(f"{MONDAY}/shares", {"evenly": ["lagurus"]}))
    assert shared == lines_of(field_door.get(MONDAY)) != before

    assert field_door.post(f"{MONDAY}/expected")["queued"] == ["anna"]
    again = field_door.post(f"{MONDAY}/expected", {"evenly": ["lagurus"]})
    assert again["queued"] == [] and again["no_address"] == ["bram", "cora"]
    field_door.refused(422, "POST", "/v1/bucket-lists/2027-06-21/expected")
    field_door.refused(422, "POST", f"{MONDAY}/shares", json={"evenly": ["nigella"]})


def lines_of(found: Any) -> dict[str, tuple[int, int, int]]:
    """What each line of a list gets, what of it is theirs, and what it may become."""
    lines = [line for customer in found["customers"] for line in customer["lines"]]
    return {line["line"]: (line["filled"], line["yours"], line["up_to"]) for line in lines}
