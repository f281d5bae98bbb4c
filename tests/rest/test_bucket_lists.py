"""The bucket list of Monday 14 June on the farm of known stems: drafted, confirmed once, frozen."""

from typing import Any

import pytest

from haulm.farm.products import Product
from haulm.store.journal import Pile
from haulm.store.words import Account, PromiseState
from support.door import Door

MONDAY = "/v1/bucket-lists/2027-06-14"


def filled(bucket_list: dict[str, Any]) -> dict[str, tuple[int, int, int]]:
    """Stems, bunches and stems over, by line."""
    lines = [line for customer in bucket_list["customers"] for line in customer["lines"]]
    return {line["line"]: (line["filled"], line["bunches"], line["over"]) for line in lines}


def test_the_draft_holds_the_lines_from_the_bucket_day_to_the_day_before_the_next(party_door: Door) -> None:
    draft = party_door.get(MONDAY)

    assert (draft["from"], draft["to"], draft["confirmed"]) == ("2027-06-14", "2027-06-20", False)
    assert [customer["customer"] for customer in draft["customers"]] == ["anna", "bram"]
    # Bunches of ten: Anna's 25 go out as two, and five are over.
    assert filled(draft) == {"anna-1": (25, 2, 5), "party-1": (20, 2, 0)}


def test_each_line_says_where_its_stems_come_from(party_door: Door) -> None:
    (anna,) = party_door.get(MONDAY)["customers"][0]["lines"]

    assert [(source["stock"], source["stems"]) for source in anna["from"]] == [("k1", 25)]


def test_spare_goes_with_its_line_loose_and_is_given_up_first(party_door: Door) -> None:
    bram = party_door.get(MONDAY)["customers"][1]["lines"][0]
    assert (bram["filled"], bram["spare"], bram["spare_filled"]) == (20, 5, 5)

    body = {"lines": [{"line": "party-1", "due": "2027-06-18", "stems": 19}]}
    bram = party_door.post(f"{MONDAY}/confirm", body)["customers"][1]["lines"][0]
    assert (bram["filled"], bram["spare"], bram["spare_filled"]) == (19, 5, 0)


def test_a_wedding_goes_out_by_the_stem_and_a_caution_goes_with_it(door: Door) -> None:
    body = {"date": "2027-06-17", "due": "2027-06-17", "lines": [{"product": "nigella", "stems": 13}]}
    quote = door.post("/v1/quotes", body)["id"]
    door.post(f"/v1/quotes/{quote}/contract")

    line = next(customer for customer in door.get(MONDAY)["customers"] if customer["customer"] == "enquiry")["lines"][0]
    assert (line["filled"], line["over"]) == (13, 0) and line["caution"].endswith("keep from pets")


def test_a_hold_is_on_no_list(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 5}]})["id"]
    door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-18"})

    assert set(filled(door.get(MONDAY))) == {"anna-1"}


def test_a_confirmed_list_is_shown_as_it_was_confirmed_whatever_changes(party_door: Door) -> None:
    confirmed = party_door.post(f"{MONDAY}/confirm")
    party_door.patch("/v1/known-stems/k2", {"stems": 1})
    party_door.patch("/v1/varieties/lagurus", {"bunch_stems": 5})

    assert confirmed["confirmed"]
    assert party_door.get(MONDAY) == confirmed


def test_confirming_posts_to_both_books(party_door: Door) -> None:
    party_door.post(f"{MONDAY}/confirm")
    store = party_door.desk.store

    states = [promise.state for promise in store.promises(line="party-1")]
    assert states == [PromiseState.CONTRACTED, PromiseState.DELIVERED]
    lagurus = Product("lagurus")
    # Anna's 25, Bram's 20 and his spare 5.
    assert store.stem_balances() == {
        Pile("k1", lagurus, Account.FIELD): -50,
        Pile("k1", lagurus, Account.PACKED): 50,
    }


def test_confirmed_lines_and_stems_take_no_part_in_a_later_match(party_door: Door) -> None:
    party_door.post(f"{MONDAY}/confirm")

    assert {line["line"] for line in party_door.get("/v1/match")["lines"]} == {"anna-1", "late-1"}
    rows = party_door.get("/v1/availability", from_="2027-W24", weeks=1, weekday="fri", product="lagurus")["rows"]
    # 60 less the 50 that are packed.
    assert (rows[0]["ready_p50"], rows[0]["free_to_promise"]) == (10, 10)


def test_a_list_is_confirmed_once(party_door: Door) -> None:
    party_door.post(f"{MONDAY}/confirm")

    assert party_door.refused(409, "POST", f"{MONDAY}/confirm")["type"] == "/problems/list-confirmed"


def test_a_line_may_go_out_with_fewer_stems(party_door: Door) -> None:
    body = {"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 12}]}

    assert filled(party_door.post(f"{MONDAY}/confirm", body)) == {"anna-1": (12, 1, 2), "party-1": (20, 2, 0)}
    assert [promise.stems for promise in party_door.desk.store.promises(line="anna-1")][-1] == 12
    assert sum(party_door.desk.store.stem_balances().values()) == 0


@pytest.mark.parametrize(
    ("line", "due", "stems", "status"),
    [
        ("anna-1", "2027-06-15", 26, 422),
        ("anna-1", "2027-06-22", 5, 404),
        ("tulip-1", "2027-06-15", 5, 404),
        ("anna-1", "2027-06-15", -1, 422),
    ],
)
def test_a_line_can_be_sent_no_more_than_there_is(
    party_door: Door, line: str, due: str, stems: int, status: int
) -> None:
    body = {"lines": [{"line": line, "due": due, "stems": stems}]}
    party_door.refused(status, "POST", f"{MONDAY}/confirm", json=body)

    assert not party_door.get(MONDAY)["confirmed"]
    assert party_door.desk.store.stem_balances() == {}


def test_another_weekday_is_no_bucket_day(door: Door) -> None:
    problem = door.refused(422, "GET", "/v1/bucket-lists/2027-06-15")

    assert problem["detail"] == "Bucket list: found 2027-06-15, a Tuesday; accepted is a Monday."


def test_a_list_whose_week_has_passed_is_not_confirmed(door: Door) -> None:
    assert door.refused(422, "POST", "/v1/bucket-lists/2027-06-07/confirm")["type"] == "/problems/date-passed"
