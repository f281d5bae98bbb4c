"""GET /v1/match on the farm of known stems with Bram's orders (see support.known_farm)."""

from typing import Any

from support.door import Door


def lines(door: Door, **query: Any) -> dict[tuple[str, str], dict[str, Any]]:
    """The lines by key and due date."""
    found = door.get("/v1/match", **query)["lines"]
    by_key = {(line["line"], line["due"]): line for line in found}
    assert len(by_key) == len(found), "line and due together are unique"
    return by_key


def fed(line: dict[str, Any]) -> tuple[int, list[tuple[str, str, int]]]:
    """How much a line gets, and of which stems."""
    return line["filled"], [(source["product"], source["ready_date"], source["stems"]) for source in line["from"]]


def test_each_line_says_what_it_gets_and_from_which_stems(party_door: Door) -> None:
    found = lines(party_door, season="expected")

    assert {key: fed(line) for key, line in found.items()} == {
        ("anna-1", "2027-06-15"): (25, [("lagurus", "2027-06-14", 25)]),
        ("anna-1", "2027-06-22"): (25, [("lagurus", "2027-06-21", 25)]),
        ("party-1", "2027-06-18"): (20, [("lagurus", "2027-06-14", 20)]),
        ("late-1", "2027-07-02"): (0, []),
    }
    assert [line["confidence"] for line in found.values()] == [1.0, 1.0, 1.0, 0.0]


def test_lines_stand_in_the_strict_order(party_door: Door) -> None:
    found = party_door.get("/v1/match")["lines"]

    assert [line["line"] for line in found] == ["anna-1", "anna-1", "party-1", "late-1"]


def test_days_only_filter_and_both_are_included(party_door: Door) -> None:
    whole = lines(party_door)

    part = lines(party_door, from_="2027-06-18", to="2027-06-22")

    assert set(part) == {("party-1", "2027-06-18"), ("anna-1", "2027-06-22")}
    assert all(line == whole[key] for key, line in part.items())


def test_spare_stands_beside_its_line_and_is_in_neither_number(party_door: Door) -> None:
    party = lines(party_door)["party-1", "2027-06-18"]

    assert (party["stems"], party["filled"], party["spare"], party["spare_filled"]) == (20, 20, 5, 5)
    assert [source["stems"] for source in party["spare_from"]] == [5]


def test_spare_that_finds_no_stems_does_not_touch_its_line(party_door: Door) -> None:
    party_door.patch("/v1/order-lines/party-1", {"spare": 50})

    party = lines(party_door)["party-1", "2027-06-18"]
    # 60 stems, Anna's 25 and the party's 20: 15 are left.
    assert (party["filled"], party["confidence"], party["spare_filled"]) == (20, 1.0, 15)


def test_a_last_day_before_the_first_is_refused(party_door: Door) -> None:
    query = {"from": "2027-06-18", "to": "2027-06-17"}

    assert party_door.refused(422, "GET", "/v1/match", params=query)["where"] == "to"


def test_a_day_is_an_iso_date_and_nothing_else(party_door: Door) -> None:
    for text in ("20270618", "2027-6-18", "0001-01-01", "9999-12-31", "2027-02-30"):
        problem = party_door.refused(422, "GET", "/v1/match", params={"from": text})
        assert problem["errors"][0]["accepted"] == "a date such as 2027-05-20, years 1900 to 2999"
