"""GET /v1/availability on the farm of known stems, each figure worked out by hand (see support.known_farm)."""

from datetime import date
from typing import Any

from support.desks import on
from support.door import Door
from support.known_farm import growing_farm


def rows(door: Door, product: str, **query: Any) -> list[tuple[Any, ...]]:
    """Week, ready (poor, middling, good), committed, free and shared of a product's rows from week 24 on."""
    found = door.get("/v1/availability", from_="2027-W24", product=product, **query)["rows"]
    names = ("week", "ready_p10", "ready_p50", "ready_p90", "committed", "free_to_promise", "shared")
    assert all(row["product"] == product for row in found)
    return [tuple(row[name] for name in names) for row in found]


def test_free_is_what_may_leave_on_the_best_of_the_days_on_which_the_farm_delivers(door: Door) -> None:
    # It delivers on Tuesdays: on 15 there is Monday's cut of k1, on 22 that of k2, each less Anna's 25; on 29 none.
    assert [row[5] for row in rows(door, "lagurus", weeks=3)] == [35, 15, 0]


def test_with_orders_on_other_days_too_each_week_has_its_best_day(door: Door) -> None:
    weeks = {"first_week": "2027-W30", "last_week": "2027-W30", "committed_on": "2027-01-10"}
    door.post("/v1/standing-orders", {"key": "bram-weekly", "customer": "bram", "weekday": "mon", **weeks})
    alone = {day: rows(door, "lagurus", weeks=4, weekday=day) for day in ("mon", "tue")}
    best = [max(one[5], other[5]) for one, other in zip(alone["mon"], alone["tue"], strict=True)]
    assert [row[5] for row in rows(door, "lagurus", weeks=4)] == best == [35, 35, 15, 0]


def test_stems_are_ready_in_the_week_of_their_first_due_date_and_free_on_the_weekday_asked(door: Door) -> None:
    # On Monday 14 nothing can have been cut; on 21 it is Thursday's k1, on 28 Thursday's k2, each less Anna's 25.
    assert rows(door, "lagurus", weeks=3, weekday="mon") == [
        ("2027-W24", 60, 60, 60, 25, 0, False),
        ("2027-W25", 40, 40, 40, 25, 35, False),
        ("2027-W26", 0, 0, 0, 0, 15, False),
    ]


def test_another_weekday_may_have_other_stems(door: Door) -> None:
    # Friday 18 is served by the cuts of 14 and 17, Friday 25 by those of 21 and 24.
    assert [row[5] for row in rows(door, "lagurus", weeks=3, weekday="fri")] == [35, 15, 0]


def test_stems_of_two_due_dates_are_shared(door: Door) -> None:
    door.patch("/v1/varieties/lagurus", {"hold_days": 11})

    # Now k1, cut on 17, keeps until 28 June, and k2, cut on 24, until 5 July. Anna's 50 can come of k1 alone.
    assert [row[5:] for row in rows(door, "lagurus", weeks=4, weekday="mon")][2:] == [(50, True), (40, True)]


def test_cut_stems_are_free_until_they_have_been_kept_too_long(door: Door) -> None:
    assert rows(door, "nigella", weeks=2) == [
        ("2027-W24", 30, 30, 30, 0, 30, False),
        ("2027-W25", 0, 0, 0, 0, 0, False),
    ]


def test_dried_stock_is_one_row_without_a_week(door: Door) -> None:
    assert rows(door, "lagurus:dried", weeks=4) == [(None, 120, 120, 120, 0, 120, True)]


def test_every_product_with_stems_is_listed(door: Door) -> None:
    found = door.get("/v1/availability")

    assert (found["confidence"], found["hope_confidence"]) == (0.65, 0.5)
    assert all(row["hope_to_offer"] >= row["free_to_promise"] for row in found["rows"])
    assert found["weeks"] == [f"2027-W{week}" for week in range(24, 32)]
    assert {row["product"] for row in found["rows"]} == {"lagurus", "lagurus:dried", "nigella"}


def test_weeks_go_on_after_a_fifty_third(door: Door) -> None:
    assert door.get("/v1/availability", from_="2026-W53", weeks=2)["weeks"] == ["2026-W53", "2027-W01"]


def test_a_week_that_has_passed_offers_nothing(door: Door) -> None:
    found = door.get("/v1/availability", from_="2027-W23", weeks=1, product="lagurus")

    assert found["rows"][0]["free_to_promise"] == 0


def test_what_is_asked_wrongly_is_named(door: Door) -> None:
    for query, named in (
        ({"from": "2027-W54"}, "2027-W01 to 2027-W52"),
        ({"from": "soon"}, "an ISO week such as 2027-W20"),
        ({"weeks": "105"}, "less than or equal to 104"),
        ({"confidence": "1"}, "less than 1"),
        ({"confidence": "nan"}, "less than 1"),
        ({"weekday": "someday"}, "'mon', 'tue'"),
        ({"product": "lagurus:wet"}, "followed by ':dried'"),
    ):
        assert named in door.refused(422, "GET", "/v1/availability", params=query)["detail"], query


def test_a_product_that_is_not_grown_here_is_not_found(door: Door) -> None:
    problem = door.refused(404, "GET", "/v1/availability", params={"product": "tulip"})

    assert (problem["type"], problem["key"]) == ("/problems/not-found", "tulip")


def test_what_may_be_hoped_for_is_what_its_lower_confidence_would_promise(open_door: Any) -> None:
    growing = open_door(growing_farm())
    on(growing.desk, date(2027, 5, 20))
    weeks = {"from_": "2027-W34", "weeks": 6, "weekday": "tue"}
    asked = growing.get("/v1/availability", confidence=0.8, **weeks)
    lower = growing.get("/v1/availability", confidence=asked["hope_confidence"], **weeks)

    assert asked["hope_confidence"] == 0.6
    assert [row["hope_to_offer"] for row in asked["rows"]] == [row["free_to_promise"] for row in lower["rows"]]
    assert any(row["hope_to_offer"] > row["free_to_promise"] for row in asked["rows"])
