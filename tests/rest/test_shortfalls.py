"""GET /v1/shortfalls, the options of a gap, and the sowing that closes it, on a farm that grows too little."""

from typing import Any

import pytest

from support.door import Door
from support.known_farm import growing_farm, known_farm


@pytest.fixture
def growing(open_door: Any) -> Door:
    """The door to the farm that grows too little."""
    return open_door(growing_farm())


def test_short_lines_make_gaps_by_the_day_to_decide(growing: Door) -> None:
    found = growing.get("/v1/shortfalls")

    (gap,) = found["gaps"]
    assert (gap["product"], gap["weeks"], gap["lines"]) == ("lagurus", ["2027-W37", "2027-W38"], ["anna-1"])
    assert [short["due"] for short in found["shortfalls"]] == ["2027-09-14", "2027-09-21"]
    assert {short["gap"] for short in found["shortfalls"]} == {gap["gap"]}
    assert gap["missing"] == pytest.approx(sum(short["expected_missing"] for short in found["shortfalls"]), abs=0.011)
    assert found["confidence"] is None and found["levels"].startswith("at the level each was promised at, else")
    assert all(0 <= short["confidence"] < short["level"] for short in found["shortfalls"])
    assert found["forecast_missing"] is None


def test_options_are_dated_and_say_what_they_leave(growing: Door) -> None:
    (gap,) = growing.worked_out().get("/v1/shortfalls")["gaps"]

    options = growing.get(f"/v1/gaps/{gap['gap']}/options")["options"]

    assert {"buy_in", "tell"} <= {option["kind"] for option in options}
    assert all(option["decide_by"] >= "2027-06-14" for option in options)
    closing = [option for option in options if option["closes"]]
    assert closing == options[: len(closing)]
    assert all(option["confidence_after"] >= 0.65 for option in closing if option["batches"])


def test_nobody_waits_for_options_and_the_last_ones_stand_while_they_are_worked_out_anew(growing: Door) -> None:
    path = f"/v1/gaps/{growing.get('/v1/shortfalls')['gaps'][0]['gap']}/options"
    first = growing.get(path)
    assert (first["options"], first["pending"], first["as_of"]) == ([], True, None)
    known = growing.worked_out().get(path)
    assert known["options"] and not known["pending"] and known["as_of"] is not None

    growing.patch("/v1/standing-lines/anna-1", {"stems": 45})
    pending = growing.get(path)
    assert pending == {**known, "pending": True, "faces": pending["faces"], "causes": pending["causes"]}
    assert growing.worked_out().get(path)["options"] != known["options"]


def test_the_sowing_of_an_option_posted_as_it_is_closes_the_gap(growing: Door) -> None:
    (gap,) = growing.worked_out().get("/v1/shortfalls")["gaps"]
    options = growing.get(f"/v1/gaps/{gap['gap']}/options")["options"]
    sowing = next(option for option in options if option["closes"] and option["batches"])

    for batch in sowing["batches"]:
        assert growing.post("/v1/batches", batch)["key"] == batch["key"]

    left = growing.get("/v1/shortfalls")
    assert (left["shortfalls"], left["gaps"]) == ([], [])
    confidences = [line["confidence"] for line in growing.get("/v1/match")["lines"]]
    assert min(confidences) == sowing["confidence_after"]


def test_a_lower_confidence_asks_less(open_door: Any) -> None:
    door = open_door(known_farm(known_stems="key,product,ready_date,stems\nk1,lagurus,2027-06-14,60"))

    # The seasons are all alike: Anna's second week gets nothing in any of them.
    assert [short["due"] for short in door.get("/v1/shortfalls", confidence=0.01)["shortfalls"]] == ["2027-06-22"]


def test_a_gap_that_is_not_there_is_not_found(growing: Door) -> None:
    assert growing.refused(404, "GET", "/v1/gaps/tulip-2027-W20/options")["kind"] == "gap"


def test_a_farm_without_climate_says_why_it_has_no_forecast(open_door: Any) -> None:
    batches = "key,variety,sow_date\nb1,lagurus,2027-05-01"
    door = open_door(known_farm(batches=batches))

    found = door.get("/v1/shortfalls")
    assert "temperatures" in found["forecast_missing"]
    assert found["shortfalls"] == []


def test_the_batches_of_the_combined_plan_posted_leave_what_it_names(growing: Door) -> None:
    assert growing.get("/v1/combined-plan")["as_of"] is None
    asked = growing.post("/v1/combined-plan")
    assert (asked["pending"], asked["batches"], asked["gaps"]) == (True, [], None)
    plan = growing.worked_out().get("/v1/combined-plan")
    assert (plan["pending"], plan["overtaken"]) == (False, False)
    (gap,) = growing.get("/v1/shortfalls")["gaps"]
    assert [closed["gap"] for closed in plan["closed"]] == [gap["gap"]] and plan["open"] == []
    assert plan["closed"][0]["confidence_before"] < 0.65 <= plan["closed"][0]["confidence_after"]

    for batch in plan["batches"]:
        assert growing.post("/v1/batches", batch)["key"] == batch["key"]

    assert growing.get("/v1/shortfalls")["gaps"] == []
    after = growing.get("/v1/combined-plan")
    assert after == {**plan, "overtaken": True}


def test_a_farm_without_climate_has_no_combined_plan_and_says_why(open_door: Any) -> None:
    door = open_door(known_farm(known_stems="key,product,ready_date,stems\nk1,lagurus,2027-06-14,60"))

    door.post("/v1/combined-plan?confidence=0.9")
    plan = door.worked_out().get("/v1/combined-plan", confidence=0.9)
    assert door.get("/v1/combined-plan")["as_of"] is None
    assert door.refused(422, "POST", "/v1/combined-plan?confidence=1.2")["errors"]
    assert (plan["batches"], plan["closed"], plan["cost_minor"], plan["confidence"]) == ([], [], None, 0.9)
    assert [still["lines"] for still in plan["open"]] == [["anna-1"]]
    assert plan["open"][0]["reason"].startswith("No forecast")


def test_an_option_names_the_lines_it_asks(open_door: Any) -> None:
    party = """
        key,customer,kind,due_date,committed_on,status
        party,bram,one_off,2027-06-18,2027-06-01,contracted
        """
    lines = "key,order,stems,product\nparty-1,party,50,lagurus"
    door = open_door(known_farm(orders=party, order_lines=lines))
    (gap,) = door.worked_out().get("/v1/shortfalls")["gaps"]

    options = {option["kind"]: option for option in door.get(f"/v1/gaps/{gap['gap']}/options")["options"]}

    assert gap["lines"] == ["party-1"]
    assert options["tell"]["lines"] == [] and options["tell"]["product"] is None and options["tell"]["cut_days"] == []
