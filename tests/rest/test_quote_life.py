"""The life of a quote: versions, final numbers, rechecks, lapsing, and steps that are not open."""

from dataclasses import fields
from datetime import date
from typing import Any

import pytest

from haulm.jobs.desk.facts import facts_of, value_of
from haulm.jobs.promises.lapse_holds import lapse_holds
from haulm.jobs.promises.recheck_quotes import mark_reached, recheck_quotes
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.quotes.version import QuoteVersion
from haulm.store.words import PromiseState
from support.desks import on
from support.door import Door
from support.known_farm import known_farm

RECIPES = "piece,role,stems\nlittle jar,texture,3\nlittle jar,accent,1"
FRIDAY = "2027-06-18"


def jars(count: int, **more: Any) -> dict[str, Any]:
    """So many little jars in cream for Saturday, leaving on Friday."""
    return {
        "date": "2027-06-19",
        "due": FRIDAY,
        "pieces": [{"piece": "little jars", "count": count}],
        "palette": "cream",
        **more,
    }


@pytest.fixture
def jar_door(open_door: Any) -> Door:
    """The door to the farm of known stems with a recipe of its own."""
    door: Door = open_door(known_farm(recipes=RECIPES))
    return door


def life(door: Door, quote: str) -> Any:
    """A quote with its whole life."""
    return door.get(f"/v1/quotes/{quote}")


def test_the_answer_has_words_shares_and_a_price_in_parts_that_add_up(jar_door: Door) -> None:
    found = jar_door.post("/v1/quotes", jars(5))

    assert (found["stems"], found["certainty"], found["palette"]) == (20, "in nearly every summer", "cream")
    assert [(piece["piece"], piece["share"]) for piece in found["pieces"]] == [("little jar", 1.0)]
    assert found["lines"][0]["hoped_for"][0]["name"] == "Bunny tail"
    parts = found["price"]
    names = ("stems", "spare", "labour", "delivery", "tax")
    assert sum(parts[f"{name}_minor"] for name in names) == parts["total_minor"] == found["price_minor"]


def test_a_version_is_read_as_it_was_written(jar_door: Door) -> None:
    version = show_quote(jar_door.desk, jar_door.post("/v1/quotes", jars(5))["id"]).version

    assert value_of(QuoteVersion, facts_of(version)) == version


def test_the_answer_is_the_first_version_under_the_same_names(jar_door: Door) -> None:
    made = jar_door.post("/v1/quotes", jars(5))
    first = life(jar_door, made["id"])["version"]
    (row,) = jar_door.get("/v1/quotes")["quotes"]

    assert {name: made[name] for name in first} == first
    assert first.keys() == {one.name for one in fields(QuoteVersion)}
    assert {name: row[name] for name in ("event_date", "due_date")} == {"event_date": "2027-06-19", "due_date": FRIDAY}
    assert row["total_minor"] == made["price"]["total_minor"]


def test_the_names_of_before_are_still_sent_with_what_they_said(jar_door: Door) -> None:
    made = jar_door.post("/v1/quotes", jars(5, confidence=0.7))
    (row,) = jar_door.get("/v1/quotes")["quotes"]
    held = jar_door.post(f"/v1/quotes/{made['id']}/hold", {"until": "2027-06-16"})

    assert [made[name] for name in ("date", "due", "confidence_asked")] == ["2027-06-19", FRIDAY, 0.7]
    assert made["level"] == 0.7
    assert [made["price"][name] for name in ("delivery_minor", "total_minor")] == [
        made["delivery_minor"],
        made["price_minor"],
    ]
    assert (row["date"], row["due"], row["price_minor"]) == ("2027-06-19", FRIDAY, row["total_minor"])
    assert held["confidence_asked"] == held["level"]


def test_a_change_is_another_version_and_the_one_before_stays(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]

    changed = jar_door.post(f"/v1/quotes/{quote}/change", jars(3, no_substitute=True))

    assert changed["version"]["changed"][-1] == "Little jar: 3, before 5."
    versions = life(jar_door, quote)["versions"]
    assert [(version["number"], version["pieces"][0]["count"]) for version in versions] == [(1, 5), (2, 3)]
    assert [row["stems"] for row in jar_door.get("/v1/order-lines")["rows"] if row["order"] == quote] == [9, 3]


def test_a_hold_that_grows_is_judged_and_a_refusal_changes_nothing(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/hold", {"until": FRIDAY})
    version = jar_door.desk.store.version()

    problem = jar_door.refused(409, "POST", f"/v1/quotes/{quote}/change", json=jars(9))
    assert problem["type"] == "/problems/promise-refused"
    assert jar_door.desk.store.version() == version

    # 35 are left; its own 20 do not stand in its way.
    assert jar_door.post(f"/v1/quotes/{quote}/change", jars(8))["status"] == "on_hold"
    open_now = {p.line: p for p in jar_door.desk.store.promises(order=quote)}
    assert {p.state for p in open_now.values()} == {PromiseState.HELD}
    assert sum(p.stems for p in open_now.values()) == 32


def test_another_due_day_lets_the_stems_of_the_old_one_go(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-17"})

    jar_door.post(f"/v1/quotes/{quote}/change", jars(5, due="2027-06-17"))

    stands = {(p.line, str(p.due)): p.state for p in jar_door.desk.store.promises(order=quote)}
    assert {state for (_, due), state in stands.items() if due == FRIDAY} == {PromiseState.RELEASED}
    assert {state for (_, due), state in stands.items() if due == "2027-06-17"} == {PromiseState.HELD}


def test_final_numbers_are_a_version_that_is_marked(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/contract", {"deposit_minor": 5000})

    jar_door.post(f"/v1/quotes/{quote}/final-numbers", {"pieces": [{"piece": "little jar", "count": 4}]})

    found = life(jar_door, quote)
    assert (found["final_numbers_given"], found["version"]["palette"]) == (True, "cream")
    assert found["deposit"] == {"amount_minor": 5000, "on": "2027-06-14"}
    assert [step["kind"] for step in found["steps"]] == ["quoted", "contracted", "final-numbers"]


def test_a_hold_that_is_over_lets_go_by_itself_and_is_written_down_once(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-16"})
    on(jar_door.desk, date(2027, 6, 17))

    assert life(jar_door, quote)["status"] == "lapsed"
    assert life(jar_door, quote)["confidence_now"] is None
    assert lapse_holds(jar_door.desk, "clock") == (quote,)
    assert lapse_holds(jar_door.desk, "clock") == ()
    assert jar_door.desk.store.promises(order=quote)[-1].state is PromiseState.LAPSED

    problem = jar_door.refused(409, "POST", f"/v1/quotes/{quote}/contract", json={})
    assert problem["type"] == "/problems/hold-expired"
    assert jar_door.post(f"/v1/quotes/{quote}/hold", {"until": FRIDAY})["status"] == "on_hold"


def test_rechecks_are_logged_once_for_each_mark(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/contract", {})

    (found,) = recheck_quotes(jar_door.desk, "clock")

    assert (found.order, found.weeks_before, found.fell) == (quote, 1, False)
    assert recheck_quotes(jar_door.desk, "clock") == ()
    assert [check["weeks_before"] for check in life(jar_door, quote)["rechecks"]] == [1]


@pytest.mark.parametrize(
    ("days", "weeks"), [(57, None), (56, 8), (29, 8), (28, 4), (14, 2), (8, 2), (7, 1), (0, 1), (-1, None)]
)
def test_a_mark_is_reached_so_many_weeks_before(days: int, weeks: int | None) -> None:
    event = date(2027, 8, 14)
    assert mark_reached(event, date.fromordinal(event.toordinal() - days)) == weeks


def test_a_contract_survives_a_forecast_that_falls_and_warns(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(8))["id"]
    jar_door.post(f"/v1/quotes/{quote}/contract", {})

    jar_door.patch("/v1/known-stems/k1", {"stems": 20})

    found = life(jar_door, quote)
    assert (found["status"], found["confidence_now"]) == ("contracted", 0.0)
    assert found["warnings"] == ["Promised at 80 %, and 0 % sure as a whole today: see what can still close the gap."]
    assert recheck_quotes(jar_door.desk, "clock")[0].fell


def test_an_order_is_fulfilled_on_its_day_and_not_before(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/contract", {})
    assert "or later" in jar_door.refused(422, "POST", f"/v1/quotes/{quote}/fulfil")["detail"]

    on(jar_door.desk, date(2027, 6, 18))
    assert jar_door.post(f"/v1/quotes/{quote}/fulfil") == {"id": quote, "status": "delivered"}
    assert jar_door.desk.store.promises(order=quote)[-1].state is PromiseState.DELIVERED
    assert jar_door.refused(409, "POST", f"/v1/quotes/{quote}/cancel")["type"] == "/problems/not-at-this-step"


def test_what_was_cancelled_is_free_and_says_why(jar_door: Door) -> None:
    quote = jar_door.post("/v1/quotes", jars(5))["id"]
    jar_door.post(f"/v1/quotes/{quote}/hold", {"until": FRIDAY})

    jar_door.post(f"/v1/quotes/{quote}/cancel", {"reason": "another venue"})

    assert life(jar_door, quote)["steps"][-1]["sentence"] == "Cancelled: another venue."
    assert jar_door.desk.plan().lines_of(quote) == ()


def test_the_list_has_every_quote_with_its_status(jar_door: Door) -> None:
    first, second = (jar_door.post("/v1/quotes", jars(n))["id"] for n in (2, 3))
    jar_door.post(f"/v1/quotes/{second}/hold", {"until": FRIDAY})

    rows = jar_door.get("/v1/quotes")["quotes"]
    assert [(row["id"], row["status"]) for row in rows] == [(first, "quoted"), (second, "on_hold")]


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (jars(5, date="2027-06-01", due=None), "has passed"),
        (jars(0), "greater than or equal to 1"),
        (jars(10_000), "from 1 to 2000"),
        (jars(5, guests=0), "not permitted"),
        (jars(5, palette="glitter"), "'glitter'"),
        ({**jars(5), "pieces": [{"piece": "swan", "count": 1}]}, "one of"),
        ({**jars(5), "lines": [{"choice": "role=petal", "stems": 5}], "pieces": []}, "role"),
        (jars(5, date="2027-06-30", due="2027-06-30"), "nearest days that can: Wed 16 Jun 2027"),
        (jars(5, unacceptable=["no-such-kind"]), "no-such-kind"),
    ],
)
def test_what_cannot_be_answered_is_refused_in_a_sentence_and_writes_nothing(
    jar_door: Door, body: dict[str, Any], says: str
) -> None:
    version = jar_door.desk.store.version()

    assert says in jar_door.refused(422, "POST", "/v1/quotes", json=body)["detail"]
    assert jar_door.desk.store.version() == version


def test_the_same_key_gets_the_first_answer_and_another_body_is_refused(jar_door: Door) -> None:
    first = jar_door.post("/v1/quotes", jars(5), Idempotency_Key="k")

    assert jar_door.post("/v1/quotes", jars(5), Idempotency_Key="k") == first
    jar_door.refused(422, "POST", "/v1/quotes", json=jars(6), headers={"Idempotency-Key": "k"})
    assert len(jar_door.get("/v1/quotes")["quotes"]) == 1


def test_a_day_for_which_nothing_can_be_there_is_refused_with_the_nearest_that_can(jar_door: Door) -> None:
    problem = jar_door.refused(422, "POST", "/v1/quotes", json=jars(5, date="2027-06-30", due="2027-06-30"))

    assert (problem["type"], problem["other_dates"]) == ("/problems/nothing-in-season", ["2027-06-16"])


def test_where_the_couple_arranges_there_is_more_spare_and_no_labour(jar_door: Door) -> None:
    found = jar_door.post("/v1/quotes", jars(10, own_arranging=True))

    assert ([line["spare"] for line in found["lines"]], found["price"]["labour_minutes"]) == ([6, 2], 0)


def test_dried_stems_count_only_where_they_are_accepted(jar_door: Door) -> None:
    fresh, dried = (jar_door.post("/v1/quotes", jars(20, dried_ok=ok)) for ok in (False, True))

    assert (fresh["order_confidence"], dried["order_confidence"]) == (0.0, 1.0)


def test_a_changed_quote_carries_no_etag_since_its_version_is_no_number(jar_door: Door) -> None:
    made = jar_door.post("/v1/quotes", jars(5))

    changed = jar_door.ask("POST", f"/v1/quotes/{made['id']}/change", json=jars(4))

    assert changed.json()["version"]["number"] == 2
    assert "ETag" not in changed.headers
