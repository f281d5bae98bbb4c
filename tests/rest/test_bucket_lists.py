"""The bucket list of Monday 14 June on the farm of known stems: expected, settled as it was seen, told afterwards."""

from typing import Any

import pytest

from haulm.farm.products import Product
from haulm.store.journal import Pile
from haulm.store.words import Account, PromiseState
from support.desks import on
from support.door import Door

MONDAY = "/v1/bucket-lists/2027-06-14"
CONFIRM = f"{MONDAY}/confirm"
ANNA = {"order": "anna-weekly", "due": "2027-06-15"}
PARTY = {"order": "party", "due": "2027-06-18"}


def lines(bucket_list: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The lines of a list by key."""
    return {line["line"]: line for customer in bucket_list["customers"] for line in customer["lines"]}


def filled(bucket_list: dict[str, Any]) -> dict[str, tuple[int, int, int]]:
    """Stems, bunches and stems over, by line."""
    return {key: (line["filled"], line["bunches"], line["over"]) for key, line in lines(bucket_list).items()}


def tag(door: Door, path: str = MONDAY) -> str:
    """The tag of a list."""
    return door.ask("GET", path).headers["ETag"]


def test_the_draft_holds_the_lines_from_the_bucket_day_to_the_day_before_the_next(party_door: Door) -> None:
    draft = party_door.get(MONDAY)

    assert (draft["from"], draft["to"], draft["confirmed"]) == ("2027-06-14", "2027-06-20", False)
    assert [customer["customer"] for customer in draft["customers"]] == ["anna", "bram"]
    # Bunches of ten: Anna's 25 go out as two, and five are over.
    assert filled(draft) == {"anna-1": (25, 2, 5), "party-1": (20, 2, 0)}


def test_a_line_is_expected_until_its_cut_is_written_down_and_says_what_is_theirs(party_door: Door) -> None:
    draft = party_door.get(MONDAY)

    states = [(line["state"], line["yours"], line["up_to"]) for line in lines(draft).values()]
    assert states == [("expected", 25, 25), ("expected", 20, 20)]
    found = [(one["order"], one["last_cut"], one["can_settle"], one["left"]) for one in draft["deliveries"]]
    # Cut days are Monday and Thursday, and stems drink a day: Anna's Tuesday has its last cut today.
    assert found == [("anna-weekly", "2027-06-14", False, False), ("party", "2027-06-17", False, False)]


def test_each_line_says_where_its_stems_come_from(party_door: Door) -> None:
    (anna,) = party_door.get(MONDAY)["customers"][0]["lines"]

    assert [(source["stock"], source["stems"]) for source in anna["from"]] == [("k1", 25)]


def test_spare_goes_with_its_line_loose_and_is_given_up_first(party_door: Door) -> None:
    bram = party_door.get(MONDAY)["customers"][1]["lines"][0]
    assert (bram["filled"], bram["spare"], bram["spare_filled"]) == (20, 5, 5)

    body = {"lines": [{"line": "party-1", "due": "2027-06-18", "stems": 19}]}
    bram = party_door.settle(MONDAY, body, cut=["k1"])["customers"][1]["lines"][0]
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


def test_a_settled_list_stays_as_it_was_whatever_changes(party_door: Door) -> None:
    settled = party_door.settle(MONDAY, cut=["k1"])
    party_door.patch("/v1/known-stems/k2", {"stems": 1})
    party_door.patch("/v1/varieties/lagurus", {"bunch_stems": 5})

    assert settled["confirmed"] and {line["state"] for line in lines(settled).values()} == {"settled"}
    assert party_door.get(MONDAY) == settled


def test_settling_posts_to_both_books(party_door: Door) -> None:
    party_door.settle(MONDAY, cut=["k1"])
    store = party_door.desk.store

    states = [promise.state for promise in store.promises(line="party-1")]
    assert states == [PromiseState.CONTRACTED, PromiseState.SETTLED]
    lagurus = Product("lagurus")
    # Anna's 25, Bram's 20 and his spare 5.
    assert store.stem_balances() == {
        Pile("k1", lagurus, Account.FIELD): -50,
        Pile("k1", lagurus, Account.PACKED): 50,
    }
    assert party_door.post(f"{MONDAY}/delivered") == {"stems": 25}
    assert party_door.post(f"{MONDAY}/delivered", {"due": "2027-06-18"}) == {"stems": 25}
    assert [promise.state for promise in store.promises(line="party-1")][-1] is PromiseState.DELIVERED


def test_settled_lines_and_stems_take_no_part_in_a_later_match(party_door: Door) -> None:
    party_door.settle(MONDAY, cut=["k1"])

    assert {line["line"] for line in party_door.get("/v1/match")["lines"]} == {"anna-1", "late-1"}
    rows = party_door.get("/v1/availability", from_="2027-W24", weeks=1, weekday="fri", product="lagurus")["rows"]
    # 60 less the 50 that are packed.
    assert (rows[0]["ready_p50"], rows[0]["free_to_promise"]) == (10, 10)


def test_a_delivery_is_settled_by_itself_and_the_others_stay_expected(party_door: Door) -> None:
    party_door.patch("/v1/known-stems/k1", {"cut_date": "2027-06-14"})
    seen = {one["order"]: one["etag"] for one in party_door.get(MONDAY)["deliveries"]}
    body = {"deliveries": [{**ANNA, "etag": seen["anna-weekly"]}]}
    answer = party_door.post(CONFIRM, body, If_Match=tag(party_door))

    assert {key: line["state"] for key, line in lines(answer).items()} == {"anna-1": "settled", "party-1": "expected"}
    assert not answer["confirmed"] and party_door.get(MONDAY) == answer
    # What changed elsewhere meanwhile leaves the tag of the other delivery as it was.
    party_door.post("/v1/customers", {"key": "dora", "name": "Dora"})
    rest = {"deliveries": [{**PARTY, "etag": seen["party"]}]}
    assert party_door.post(CONFIRM, rest, If_Match='"the list as it was"')["confirmed"]


def test_the_tag_is_of_the_figures_and_never_of_the_farms_version(party_door: Door) -> None:
    before = tag(party_door)
    party_door.post("/v1/customers", {"key": "dora", "name": "Dora"})
    assert tag(party_door) == before

    party_door.patch("/v1/known-stems/k1", {"stems": 44})
    assert tag(party_door) != before


def test_nobody_settles_what_was_not_seen(party_door: Door) -> None:
    party_door.patch("/v1/known-stems/k1", {"cut_date": "2027-06-14"})

    assert party_door.refused(428, "POST", CONFIRM)["type"] == "/problems/seen-not-said"
    assert party_door.desk.store.stem_balances() == {}


@pytest.mark.parametrize("by_delivery", [False, True])
def test_what_has_changed_since_it_was_seen_is_refused_with_what_was_and_is(
    party_door: Door, by_delivery: bool
) -> None:
    party_door.patch("/v1/known-stems/k1", {"cut_date": "2027-06-14"})
    draft, seen = party_door.get(MONDAY), tag(party_door)
    tags = {one["order"]: one["etag"] for one in draft["deliveries"]}
    party_door.patch("/v1/known-stems/k1", {"stems": 30})

    body: dict[str, Any] = {"seen": list(lines(draft).values())}
    if by_delivery:
        body["deliveries"] = [{**PARTY, "etag": tags["party"]}]
    problem = party_door.refused(412, "POST", CONFIRM, json=body, headers={"If-Match": seen})

    assert problem["changes"] == [{"line": "party-1", "due": "2027-06-18", "was": 20, "now": 5}]
    assert f'"{problem["etag"]}"' == tag(party_door)
    assert party_door.desk.store.stem_balances() == {}
    again = {"deliveries": [{**one, "no_cut": True} for one in problem["deliveries"]]} if by_delivery else None
    party_door.post(CONFIRM, again, If_Match=f'"{problem["etag"]}"')


def test_what_is_settled_is_not_settled_again(party_door: Door) -> None:
    party_door.settle(MONDAY, cut=["k1"])

    again = party_door.refused(409, "POST", CONFIRM, headers={"If-Match": tag(party_door)})
    assert again["type"] == "/problems/list-confirmed"


def test_before_its_last_cut_a_delivery_waits_or_goes_by_the_growers_word(party_door: Door) -> None:
    named = {"deliveries": [PARTY]}
    problem = party_door.refused(409, "POST", CONFIRM, json=named, headers={"If-Match": tag(party_door)})
    assert (problem["type"], problem["last_cut"]) == ("/problems/not-cut-yet", "2027-06-17")

    word = {"deliveries": [{**PARTY, "no_cut": True}]}
    seen = tag(party_door, f"{MONDAY}?no_cut=party@2027-06-18")
    answer = party_door.post(CONFIRM, word, If_Match=seen)
    # Nothing of it was cut: the store has none, and what stands is packed by nobody.
    assert (lines(answer)["party-1"]["filled"], lines(answer)["party-1"]["state"]) == (0, "settled")
    assert party_door.desk.store.stem_balances() == {}


def test_a_settled_list_is_taken_back_while_nothing_has_left(party_door: Door) -> None:
    before = filled(party_door.settle(MONDAY, cut=["k1"]))
    assert party_door.post(f"{MONDAY}/take-back") == {"stems": 50}
    assert {line["state"] for line in lines(party_door.get(MONDAY)).values()} == {"expected"}

    assert filled(party_door.settle(MONDAY)) == before
    party_door.post(f"{MONDAY}/delivered")
    party_door.refused(422, "POST", f"{MONDAY}/take-back")
    assert party_door.post(f"{MONDAY}/take-back", {"deliveries": [PARTY]}) == {"stems": 25}


def test_what_nobody_wrote_down_is_told_afterwards(party_door: Door) -> None:
    party_door.patch("/v1/known-stems/k1", {"cut_date": "2027-06-14"})
    on(party_door.desk, party_door.desk.today().replace(day=17))

    body = {**ANNA, "lines": [{"line": "anna-1", "stems": 61}]}
    assert "0 to 60" in party_door.refused(422, "POST", f"{MONDAY}/left", json=body)["detail"]
    body["lines"] = [{"line": "anna-1", "stems": 22}]
    assert party_door.post(f"{MONDAY}/left", body) == {"stems": 22}
    found = {one["order"]: one for one in party_door.get(MONDAY)["deliveries"]}
    assert (found["anna-weekly"]["state"], found["anna-weekly"]["left"]) == ("settled", True)
    assert party_door.refused(409, "POST", f"{MONDAY}/left", json=body)["type"] == "/problems/list-confirmed"


def test_a_line_may_go_out_with_fewer_stems(party_door: Door) -> None:
    body = {"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 12}]}

    assert filled(party_door.settle(MONDAY, body, cut=["k1"])) == {"anna-1": (12, 1, 2), "party-1": (20, 2, 0)}
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
    party_door.patch("/v1/known-stems/k1", {"cut_date": "2027-06-14"})
    body = {"lines": [{"line": line, "due": due, "stems": stems}]}
    party_door.refused(status, "POST", CONFIRM, json=body, headers={"If-Match": tag(party_door)})

    assert not party_door.get(MONDAY)["confirmed"]
    assert party_door.desk.store.stem_balances() == {}


def test_another_weekday_is_no_bucket_day(door: Door) -> None:
    problem = door.refused(422, "GET", "/v1/bucket-lists/2027-06-15")

    assert problem["detail"] == "Bucket list: found Tue 15 Jun 2027; accepted is a Monday."
    for far in ("9999-12-27", "0001-01-01"):
        assert "years 1900 to 2999" in door.refused(422, "GET", f"/v1/bucket-lists/{far}")["detail"]


def test_a_list_that_has_passed_is_of_no_line_or_is_far_ahead_is_not_settled(door: Door) -> None:
    def refused(status: int, day: str, body: Any = None) -> str:
        path = f"/v1/bucket-lists/{day}/confirm"
        kind: str = door.refused(status, "POST", path, json=body, headers={"If-Match": "*"})["type"]
        return kind

    assert refused(422, "2027-06-07") == "/problems/date-passed"
    assert refused(409, "2027-06-28") == "/problems/nothing-to-settle"
    quote = door.post("/v1/quotes", {"date": "2027-07-01", "lines": [{"product": "lagurus:dried", "stems": 5}]})["id"]
    door.post(f"/v1/quotes/{quote}/contract")
    assert refused(409, "2027-06-28") == "/problems/list-far-ahead"
    assert door.post("/v1/bucket-lists/2027-06-28/confirm", {"far_ahead": True}, If_Match="*")["confirmed"]
