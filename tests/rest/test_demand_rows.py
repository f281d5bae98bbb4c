"""Rows that ask for stems are judged as promises are: no other way in leads past the match."""

from typing import Any

import pytest

from haulm.store.words import PromiseState
from support.door import Door

FRIDAY = "2027-06-18"


@pytest.mark.parametrize(("status", "step"), [("on_hold", "hold"), ("contracted", "contract")])
def test_an_order_is_held_or_contracted_by_its_own_step(door: Door, status: str, step: str) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 90}]})["id"]

    body = {"status": status, "hold_until": FRIDAY}
    problem = door.refused(422, "PATCH", f"/v1/orders/{quote}", json=body)

    assert (problem["where"], problem["found"]) == ("status", f"'{status}'")
    assert problem["accepted"] == f"POST /v1/quotes/{quote}/{step}, which asks the match first"


def test_a_new_order_is_a_quote_first(door: Door) -> None:
    row = {"key": "o1", "customer": "bram", "kind": "one_off", "due_date": FRIDAY, "status": "contracted"}

    assert door.refused(422, "POST", "/v1/orders", json=row)["accepted"].startswith(
        "'quoted', then POST /v1/quotes/o1/"
    )


def test_a_promised_line_grows_only_as_far_as_the_stems_go(party_door: Door) -> None:
    party_door.patch("/v1/order-lines/party-1", {"stems": 35})

    problem = party_door.refused(409, "PATCH", "/v1/order-lines/party-1", json={"stems": 36})

    assert problem["type"] == "/problems/promise-refused"
    assert problem["unsure"] == [{"line": "party-1", "confidence": 0.0}]
    assert party_door.get("/v1/order-lines/party-1")["stems"] == 35


def test_a_standing_line_may_be_short_itself_but_takes_nothing_that_was_promised(party_door: Door) -> None:
    problem = party_door.refused(409, "PATCH", "/v1/standing-lines/anna-1", json={"stems": 41})
    assert [(fall["line"], fall["from"], fall["to"]) for fall in problem["falls"]] == [("party-1", 1.0, 0.0)]

    # 40 a week leave Bram his 20; the second week has 40.
    party_door.patch("/v1/standing-lines/anna-1", {"stems": 40})
    change = {"key": "c1", "order": "anna-weekly", "week": "2027-W25", "stems": 70}
    party_door.post("/v1/changes", change)
    assert [short["due"] for short in party_door.get("/v1/shortfalls")["shortfalls"]] == ["2027-06-22", "2027-07-02"]


def test_a_change_of_one_week_is_judged_too(party_door: Door) -> None:
    change = {"key": "c1", "order": "anna-weekly", "week": "2027-W24", "stems": 60}

    assert party_door.refused(409, "POST", "/v1/changes", json=change)["falls"][0]["line"] == "party-1"


def test_the_owner_may_override_and_that_is_an_entry(party_door: Door) -> None:
    party_door.patch("/v1/standing-lines/anna-1?override=true&override_reason=Her+birthday", {"stems": 60})

    entry = party_door.desk.store.entries()[-1]
    assert (entry.kind, entry.facts["overridden"]) == ("row-changed", True)
    assert entry.facts["override_reason"] == "Her birthday"
    (fall,) = entry.facts["would_fall"]
    assert (fall["line"], fall["from"], fall["to"]) == ("party-1", 1.0, 0.0)


def test_asking_less_is_never_judged(party_door: Door) -> None:
    # `late` is not sure at all, and a smaller number is still welcome.
    party_door.patch("/v1/order-lines/late-1", {"stems": 4})
    party_door.patch("/v1/standing-orders/anna-weekly", {"last_week": "2027-W24"})

    assert {line["line"]: line["stems"] for line in party_door.get("/v1/match")["lines"]} == {
        "anna-1": 25,
        "party-1": 20,
        "late-1": 4,
    }


def test_a_quoted_order_grows_as_it_likes(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 3}]})["id"]

    door.patch(f"/v1/order-lines/{quote}-1", {"stems": 900})
    assert door.desk.store.entries()[-1].facts == {}


def test_a_lapsed_hold_is_not_revived_past_the_match(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 30}]})["id"]
    door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-14"})
    door.patch(f"/v1/orders/{quote}", {"hold_until": "2027-06-13"})
    door.patch("/v1/known-stems/k1", {"stems": 40})

    problem = door.refused(409, "PATCH", f"/v1/orders/{quote}", json={"hold_until": "2027-06-18"})
    assert problem["type"] == "/problems/promise-refused"


def test_the_book_of_promises_follows_a_change(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 10}]})["id"]
    door.post(f"/v1/quotes/{quote}/contract")

    door.patch(f"/v1/order-lines/{quote}-1", {"stems": 12})
    door.patch(f"/v1/orders/{quote}", {"due_date": "2027-06-17"})
    door.patch(f"/v1/orders/{quote}", {"status": "cancelled"})

    book = [(kept.due.day, kept.state, kept.stems) for kept in door.desk.store.promises(order=quote)]
    assert book == [
        (18, PromiseState.ASKED, 10),
        (18, PromiseState.CONTRACTED, 10),
        (18, PromiseState.CONTRACTED, 12),
        (18, PromiseState.RELEASED, 12),
        (17, PromiseState.CONTRACTED, 12),
        (17, PromiseState.RELEASED, 12),
    ]


def test_a_day_that_no_cut_day_serves_is_refused_for_a_line_that_is_new(door: Door) -> None:
    door.patch("/v1/varieties/lagurus", {"hold_days": 2})
    order: dict[str, Any] = {"key": "sat-weekly", "customer": "bram", "weekday": "sun"}
    door.post("/v1/standing-orders", {**order, "first_week": "2027-W24", "last_week": "2027-W24"})

    line = {"key": "sat-1", "order": "sat-weekly", "stems": 5, "product": "lagurus"}
    assert door.refused(422, "POST", "/v1/standing-lines", json=line)["would_serve"] == ["fri", "sat"]
