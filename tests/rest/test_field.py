"""From the walk to the cool store and after the list, through REST, on a farm small enough to count by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from haulm.farm.products import Product
from haulm.jobs.farm.let_in import give_token, set_password
from haulm.store.journal import Pile
from haulm.store.words import Account, DoorRole
from support.desks import on
from support.door import Door
from support.known_farm import SITE, known_farm
from support.ledger_laws import broken_laws

OpenDoor = Callable[[dict[str, bytes]], Door]
LIST = "/v1/bucket-lists/2027-06-14"
BATCHES = """
    key,variety,sow_date,method,sown,plants,bed,status
    b1,lagurus,2027-03-01,direct,100,100,south,cutting
    """
BEDS = "key,name,metres,width_cm,walk,kind\nsouth,South bed,10,,1,outdoor"
NO_STEMS = "key,product,ready_date,stems\n"
ANNA = {"line": "anna-1", "due": "2027-06-15"}


@pytest.fixture
def field(open_door: OpenDoor) -> Door:
    """The farm of known stems with a bed and a batch in it, and no counts: what is cut is all there is."""
    climate = """
    [frost]
    last_spring_p10 = "04-05"
    last_spring_p50 = "04-20"
    last_spring_p90 = "05-08"
    first_autumn_p10 = "10-01"
    first_autumn_p50 = "10-18"
    first_autumn_p90 = "11-05"

    [temperatures]
    min_c = [0.8, 0.7, 2.0, 3.4, 6.2, 9.0, 11.1, 11.0, 9.1, 6.4, 3.4, 1.2]
    max_c = [6.5, 7.2, 9.6, 12.2, 15.3, 18.0, 20.3, 20.0, 17.3, 13.3, 9.3, 6.8]
    """
    return open_door(known_farm(site=SITE + climate, batches=BATCHES, beds=BEDS, known_stems=NO_STEMS))


def lines(door: Door) -> dict[str, dict[str, Any]]:
    """The lines of Monday's list."""
    return {line["line"]: line for customer in door.get(LIST)["customers"] for line in customer["lines"]}


def in_store(door: Door) -> dict[str, int]:
    """The stems of the cool store, by pile."""
    return {one["pile"]: one["stems"] for one in door.get("/v1/store")["stems"]}


def free_on_friday(door: Door) -> int:
    """Lagurus free to promise for Friday, once nothing more comes from the bed."""
    door.post("/v1/records", {"kind": "finished", "batch": "b1"})
    rows = door.get("/v1/availability", from_="2027-W24", weeks=1, weekday="fri", product="lagurus")["rows"]
    free: int = rows[0]["free_to_promise"]
    return free


def test_what_was_counted_last_is_shown_on_the_next_walk(field: Door) -> None:
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 50}]})
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 80, "not_ready": 20}]})

    walk = field.get("/v1/walk")
    (kind,) = walk["kinds"]
    assert (kind["variety"], kind["beds"], kind["batches"]) == ("lagurus", ["South bed"], ["b1"])
    assert (kind["last"], kind["last_on"]) == (80, "2027-06-14")
    (stop,) = walk["stops"]
    assert (stop["bed"], stop["name"], [one["batch"] for one in stop["growing"]]) == ("south", "South bed", ["b1"])
    assert "20 not ready" in [row["note"] for row in field.get("/v1/records")["rows"]]


def test_a_walk_is_written_down_whole_or_not_at_all(field: Door) -> None:
    counts = [{"variety": "lagurus", "standing": 80}, {"variety": "tulip", "standing": 1}]
    field.refused(422, "POST", "/v1/walk", json={"counts": counts})
    field.refused(422, "POST", "/v1/walk", json={"counts": [counts[0], counts[0]]})
    field.refused(422, "POST", "/v1/walk", json={})

    assert field.get("/v1/records")["rows"] == []


def test_a_frost_is_one_record_of_the_whole_farm(field: Door) -> None:
    assert len(field.post("/v1/walk", {"frost": True})["records"]) == 1
    (row,) = field.get("/v1/records")["rows"]
    assert (row["kind"], row.get("batch"), row.get("variety")) == ("frost", None, None)


def test_more_than_was_counted_today_is_not_cut_unless_somebody_says_so(field: Door) -> None:
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 30}]})
    field.post("/v1/cuts", {"variety": "lagurus", "stems": 20})
    problem = field.refused(422, "POST", "/v1/cuts", json={"batch": "b1", "stems": 11})

    assert "11 stems of lagurus besides 20 cut before" in problem["detail"]
    field.post("/v1/cuts", {"batch": "b1", "stems": 11, "beyond_count": True})
    assert sum(in_store(field).values()) == 31


def test_stems_cut_before_a_count_were_not_standing_when_it_was_made(field: Door) -> None:
    field.post("/v1/cuts", {"variety": "lagurus", "stems": 20})
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 30}]})

    assert field.post("/v1/cuts", {"variety": "lagurus", "stems": 30})["records"]


@pytest.mark.parametrize(
    "body",
    [
        {"stems": 5},
        {"stems": 5, "batch": "b1", "variety": "lagurus"},
        {"stems": 0, "batch": "b1"},
        {"stems": 5, "batch": "b9"},
    ],
)
def test_a_cut_is_of_a_batch_or_of_a_variety(field: Door, body: dict[str, Any]) -> None:
    field.refused(422, "POST", "/v1/cuts", json=body)

    assert in_store(field) == {}


def test_stems_cut_first_go_into_the_buckets_from_the_store(field: Door) -> None:
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    assert in_store(field) == {key: 40}
    assert [(one["stock"], one["stems"]) for one in lines(field)["anna-1"]["from"]] == [(key, 25)]
    field.settle(LIST)

    lagurus = Product("lagurus")
    assert field.desk.store.stem_balances() == {
        Pile(key, lagurus, Account.FIELD): -40,
        Pile(key, lagurus, Account.STORE): 15,
        Pile(key, lagurus, Account.PACKED): 25,
    }
    assert free_on_friday(field) == 15
    assert broken_laws(field.desk.store) == []


def test_stems_that_stand_are_packed_by_nobody_until_their_cut_is_written_down(field: Door) -> None:
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 60}]})
    assert (lines(field)["anna-1"]["state"], lines(field)["anna-1"]["yours"]) == ("expected", 25)
    tag = field.ask("GET", LIST).headers["ETag"]
    problem = field.refused(409, "POST", f"{LIST}/confirm", headers={"If-Match": tag})
    assert problem["type"] == "/problems/nothing-to-settle" and field.desk.store.stem_balances() == {}

    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40})["records"]
    field.settle(LIST)
    assert in_store(field) == {key: 15}
    field.post("/v1/claims", {**ANNA, "stems": 5, "reason": "bruised"})
    assert field.get("/v1/claims")["claims"][0]["batches"] == ["b1"]
    assert field.get("/v1/season-end")["batches"][0]["sold"] == 25


def test_a_cut_that_is_corrected_keeps_what_was_packed_of_it(field: Door) -> None:
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    field.settle(LIST)
    field.post("/v1/records", {"kind": "corrected", "corrects": key, "count": 38, "left": 0})

    assert free_on_friday(field) == 13


def test_a_correction_takes_back_exactly_and_the_list_stays_as_it_was(field: Door) -> None:
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    field.settle(LIST)
    field.post(f"{LIST}/correct", {**ANNA, "stems": 20, "reason": "back_in_store", "note": "she has room for 20"})
    assert in_store(field) == {key: 20}
    field.post(f"{LIST}/correct", {**ANNA, "stems": 0, "reason": "back in the store"})

    assert in_store(field) == {key: 40}
    assert (lines(field)["anna-1"]["state"], lines(field)["anna-1"]["filled"]) == ("settled", 0)
    assert broken_laws(field.desk.store) == []
    assert [(one["asked"], one["sent"]) for one in field.get("/v1/fill-rate")["days"]] == [(25, 0)]


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"stems": 25}, 422),
        ({"stems": 26}, 422),
        ({"reason": " "}, 422),
        ({"reason": "bruised"}, 422),
        ({"line": "bram-1"}, 404),
    ],
)
def test_a_correction_is_of_a_settled_line_within_what_was_asked_and_says_why(
    field: Door, change: dict[str, Any], status: int
) -> None:
    field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})
    field.settle(LIST)

    field.refused(status, "POST", f"{LIST}/correct", json={**ANNA, "stems": 1, "reason": "thrown", **change})


def test_a_round_is_made_once_and_then_only_claims_are_left(field: Door) -> None:
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    field.refused(404, "POST", f"{LIST}/delivered")
    field.settle(LIST)
    field.post(f"{LIST}/correct", {**ANNA, "stems": 20, "reason": "thrown"})

    assert field.post(f"{LIST}/delivered") == {"stems": 20}
    field.refused(422, "POST", f"{LIST}/delivered")
    assert (
        "claim"
        in field.refused(422, "POST", f"{LIST}/correct", json={**ANNA, "stems": 1, "reason": "thrown"})["detail"]
    )
    field.refused(422, "POST", "/v1/claims", json={**ANNA, "stems": 21, "reason": "more than were sent"})
    field.post("/v1/claims", {**ANNA, "stems": 5, "reason": "wilted", "credit_minor": 225})
    (claim,) = field.get("/v1/claims")["claims"]
    assert (claim["customer"], claim["stems"], claim["credit_minor"], claim["batches"]) == ("anna", 5, 225, ["b1"])
    assert Pile(key, Product("lagurus"), Account.DELIVERED) in field.desk.store.stem_balances()
    assert broken_laws(field.desk.store) == []


def test_hung_stems_are_stock_only_once_they_are_dry(field: Door) -> None:
    field.patch("/v1/varieties/lagurus", {"dry_days": 14})
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    field.post("/v1/store/moves", {"pile": key, "to": "dried", "stems": 10})

    hung = next(row for row in field.get("/v1/known-stems")["rows"] if row["product"] == "lagurus:dried")
    assert (hung["stems"], hung["ready_date"]) == (10, "2027-06-28")
    assert in_store(field) == {key: 30, hung["key"]: 10}
    lines = [{"product": "lagurus:dried", "stems": 10}]
    too_soon = field.post("/v1/quotes", {"date": "2027-06-25", "due": "2027-06-25", "lines": lines})
    in_time = field.post("/v1/quotes", {"date": "2027-06-29", "due": "2027-06-29", "lines": lines})
    assert [quote["lines"][0]["confidence"] for quote in (too_soon, in_time)] == [0.0, 1.0]


@pytest.mark.parametrize(
    ("change", "status"),
    [({"to": "packed"}, 422), ({"pile": "r99"}, 422), ({"stems": 41}, 409), ({"to": "attic"}, 422)],
)
def test_the_store_gives_only_what_it_has_and_only_to_stall_drying_or_waste(
    field: Door, change: dict[str, Any], status: int
) -> None:
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]

    field.refused(status, "POST", "/v1/store/moves", json={"pile": key, "to": "stall", "stems": 5, **change})
    assert in_store(field) == {key: 40}


def test_stems_kept_too_long_are_marked(field: Door) -> None:
    field.post("/v1/cuts", {"batch": "b1", "stems": 40})
    assert not field.get("/v1/store")["stems"][0]["over"]
    on(field.desk, field.desk.today().replace(day=19))

    (stored,) = field.get("/v1/store")["stems"]
    # Cut on the 14th: a day of drinking, four days of keeping.
    assert (stored["usable_from"], stored["usable_until"], stored["over"]) == ("2027-06-15", "2027-06-18", True)


def test_a_year_is_added_up_by_batch_by_bed_metre_and_by_customer(field: Door) -> None:
    field.patch("/v1/batches/b1", {"metres": 5})
    (key,) = field.post("/v1/cuts", {"batch": "b1", "stems": 40, "left": 0})["records"]
    field.settle(LIST)
    field.post("/v1/store/moves", {"pile": key, "to": "waste", "stems": 5})

    year = field.get("/v1/season-end", year=2027)
    (batch,) = year["batches"]
    assert (batch["cut"], batch["wasted"], batch["sold"], batch["sold_share"]) == (40, 5, 25, 0.625)
    assert (batch["metres"], batch["stems_by_metre"]) == (5.0, 8.0)
    assert year["customers"] == [{"customer": "anna", "asked": 25, "sent": 25}]
    assert field.get("/v1/season-end", year=2026)["batches"] == []


def test_a_bed_inside_a_sprays_waiting_time_is_not_on_the_cut_list_its_last_day_included(field: Door) -> None:
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 60}]})
    (row,) = field.get("/v1/cut-lists/2027-06-14")["rows"]
    assert row["beds"] == [{"bed": "South bed", "batches": ["b1"]}]
    field.post("/v1/sprays", {"key": "soap", "bed": "south", "date": "2027-06-13", "wait_until": "2027-06-14"})

    closed = field.get("/v1/cut-lists/2027-06-14")
    assert closed["closed_beds"] == ["South bed"]
    assert all(row["beds"] == [] for row in closed["rows"])
    walk = field.get("/v1/walk")
    assert walk["stops"][0]["sprayed"] and walk["closed_beds"] == ["South bed"]
    assert field.get("/v1/cut-lists/2027-06-17")["closed_beds"] == []


@pytest.mark.parametrize("day", ["2027-06-15", "2027-06-10"])
def test_only_a_cut_day_to_come_has_a_cut_list(field: Door, day: str) -> None:
    field.refused(422, "GET", f"/v1/cut-lists/{day}")


def test_whoever_was_short_last_time_is_asked_before_being_short_again(open_door: OpenDoor) -> None:
    stock = "key,product,ready_date,stems,cut_date\nk1,lagurus,2027-06-14,20,2027-06-14\n"
    door = open_door(known_farm(known_stems=stock))
    uncut = {"deliveries": [{"order": "anna-weekly", "due": "2027-06-15", "no_cut": True}]}
    door.post(f"{LIST}/confirm", uncut, If_Match="*")
    on(door.desk, door.desk.today().replace(day=21))
    again = "/v1/bucket-lists/2027-06-21/confirm"
    uncut = {"deliveries": [{"order": "anna-weekly", "due": "2027-06-22", "no_cut": True}]}

    assert door.refused(409, "POST", again, json=uncut, headers={"If-Match": "*"})["customers"] == ["anna"]
    assert door.post(again, {**uncut, "acknowledge": ["anna"]}, If_Match="*")["confirmed"]


def test_a_hand_may_walk_and_cut_and_not_claim(field: Door) -> None:
    set_password(field.desk, DoorRole.OWNER, "lagurus in the rain")
    hand = {"Authorization": f"Bearer {give_token(field.desk, DoorRole.HAND)}"}

    may = [
        field.ask("GET", "/v1/walk", headers=hand).status_code,
        field.ask("POST", "/v1/cuts", json={"batch": "b1", "stems": 4}, headers=hand).status_code,
        field.ask("GET", "/v1/store", headers=hand).status_code,
    ]
    assert may == [200, 201, 200]
    for method, path in (("POST", "/v1/claims"), ("POST", f"{LIST}/correct"), ("GET", "/v1/fill-rate")):
        body = {**ANNA, "stems": 1, "reason": "x"} if method == "POST" else None
        assert field.refused(403, method, path, json=body, headers=hand)["type"] == "/problems/not-for-you"


def test_known_stems_that_are_cut_or_dried_are_in_the_store_and_those_that_stand_are_not(open_door: OpenDoor) -> None:
    door = open_door(known_farm())
    dried, cut = door.get("/v1/store")["stems"]
    assert dried == {
        "pile": "k5",
        "product": "lagurus:dried",
        "stems": 120,
        "cut_on": None,
        "usable_from": "2026-09-01",
        "usable_until": None,
        "over": False,
    }
    assert (cut["pile"], cut["stems"], cut["usable_from"], cut["usable_until"]) == (
        "k3",
        30,
        "2027-06-14",
        "2027-06-17",
    )

    door.post("/v1/store/moves", {"pile": "k3", "to": "waste", "stems": 30})
    door.post("/v1/store/moves", {"pile": "k5", "to": "stall", "stems": 20})
    assert in_store(door) == {"k5": 100}
    door.refused(422, "POST", "/v1/store/moves", json={"pile": "k5", "to": "dried", "stems": 1})
    door.refused(422, "POST", "/v1/store/moves", json={"pile": "k1", "to": "waste", "stems": 1})
    door.refused(422, "PATCH", "/v1/known-stems/k3", json={"stems": 29})
    assert broken_laws(door.desk.store) == []


def test_the_walk_and_the_cut_list_say_once_what_to_take_care_of(field: Door) -> None:
    field.patch("/v1/varieties/lagurus", {"caution": "dust itches"})
    field.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 60}]})
    walk, cut = field.get("/v1/walk"), field.get("/v1/cut-lists/2027-06-14")

    for found, words in ((walk, "keep dogs out"), (cut, "cut before heads shatter")):
        (warned,) = found["take_care"]
        assert (warned["kinds"], warned["severity"]) == (["Bunny tail"], "harmful")
        assert words in warned["sentences"][0] and warned["sentences"][-1] == "Dust itches."
    assert cut["handling"] == []


def test_warnings_are_asked_for_a_place_of_some_kinds_or_of_all(field: Door) -> None:
    field.post("/v1/varieties", {"key": "blue", "name": "Monkshood"})
    some = field.get("/v1/warnings/heated_bench", variety="blue")
    (warned,) = some["take_care"]
    assert (some["place"], warned["severity"]) == ("heated_bench", "dangerous")
    assert warned["sentences"][0].startswith("Dangerously poisonous (all parts): gloves")
    assert "licensed electrician" in some["general"][0]

    everything = field.get("/v1/warnings/home")
    assert everything["take_care"][0]["kinds"] == ["Monkshood"]
    assert any("self-seeds" in note for note in everything["weeds"])
    field.refused(404, "GET", "/v1/warnings/home?variety=moon")
    field.refused(422, "GET", "/v1/warnings/moon")
