"""The week's round with the florists: what one sees by her link, what she may answer, and the grower's word on it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.jobs.florists.florist_links import link_number
from haulm.web.links import HOLDS, Holder, Links
from support import scale
from support.desks import NOW, on
from support.door import SECRET, Door
from support.known_farm import PARTY, known_farm

THURSDAY, BUCKET_DAY = date(2027, 6, 10), date(2027, 6, 14)
"""In time for the list of Monday 14 June, which closes on Friday 11 June at 18:00."""
TWO_LINES = """
    key,order,stems,product,minimum
    anna-1,anna-weekly,25,lagurus,
    anna-2,anna-weekly,10,lagurus,5
    """
FOREVER = """
    key,customer,weekday,first_week,last_week,committed_on
    anna-weekly,anna,tue,2027-W24,2027-W30,2027-01-10
    """


@pytest.fixture
def week_door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """The door to the farm of known stems with Bram's orders, on the Thursday before the bucket day."""
    door = open_door(known_farm(**PARTY))
    on(door.desk, THURSDAY)
    return door


def token(door: Door, customer: str = "anna", *, secret: str = SECRET, age: timedelta = timedelta(0)) -> str:
    """The token of a customer's link as it stands, or of one signed otherwise or earlier."""
    links = Links(secret, lambda: door.desk.now() - age)
    return links.florist_path(Holder(customer, link_number(door.desk, customer))).removeprefix("/f/")


def answer(door: Door, *asks: dict[str, Any], note: str = "", customer: str = "anna") -> dict[str, Any]:
    """A florist's answer that is heard."""
    path = f"/v1/florist/{token(door, customer)}/answers"
    found: dict[str, Any] = door.post(path, {"asks": list(asks), "note": note})
    return found


def waiting(door: Door) -> list[dict[str, Any]]:
    """The answers that wait for the grower."""
    found: list[dict[str, Any]] = door.get("/v1/replies")["replies"]
    return found


def judged(door: Door, word: str = "accept", **said: Any) -> list[str]:
    """The grower's word on the one answer that waits."""
    (reply,) = waiting(door)
    found: list[str] = door.post(f"/v1/replies/{reply['id']}/{word}", said)["outcomes"]
    return found


def version(door: Door) -> int:
    """The farm's version: it is another one whenever something was written."""
    return door.desk.store.farm().version


def asked_stems(door: Door, customer: str = "anna") -> dict[tuple[str, str], int]:
    """Every line of a customer with its day and stems."""
    return {
        (line["line"], line["due"]): line["stems"]
        for line in door.get("/v1/match")["lines"]
        if line["customer"] == customer and not line["spare"]
    }


def test_a_florist_sees_what_is_sure_and_her_own_order_and_nobody_else(week_door: Door) -> None:
    found = week_door.ask("GET", f"/v1/florist/{token(week_door)}")

    shown = found.json()
    assert [(line["line"], line["stems"], line["standing"]) for line in shown["own"]] == [("anna-1", 25, True)]
    assert {one["product"]: one["bunches"] for one in shown["offered"]} == {
        "lagurus": 1,
        "nigella": 3,
        "lagurus:dried": 12,
    }
    (nigella,) = [one for one in shown["offered"] if one["product"] == "nigella"]
    assert nigella["caution"].endswith("keep from pets")
    assert (shown["late"], shown["order_by"]) == (False, "2027-06-11T18:00")
    assert [word for word in ("bram", "Bram", "party", "late-1") if word in found.text] == []


def test_her_page_shows_what_the_letter_says(week_door: Door) -> None:
    page = week_door.ask("GET", f"/f/{token(week_door)}").text

    assert "Bunny tail" in page and page.count("Keep from pets") == 1 and "4.50" in page
    assert [word for word in ("Bram", "party", "anna-weekly", "/short") if word in page] == []


def test_a_plain_yes_waits_for_nothing_and_changes_nothing(week_door: Door) -> None:
    before = asked_stems(week_door)

    assert answer(week_door, {"kind": "yes"}) == {"in_time": True}
    assert (waiting(week_door), asked_stems(week_door)) == ([], before)


def test_more_that_is_sure_becomes_an_order_of_her_own_day(week_door: Door) -> None:
    answer(week_door, {"kind": "more", "product": "nigella", "bunches": 2})
    assert waiting(week_door)[0]["asks"] == ["2 bunches more of Love-in-a-mist"]

    assert judged(week_door) == ["yes"]
    assert sorted(asked_stems(week_door).values()) == [20, 25, 25]
    own = week_door.get(f"/v1/florist/{token(week_door)}")["own"]
    assert [(line["asked"], line["stems"], line["standing"], line["due"]) for line in own] == [
        ("Bunny tail", 25, True, "2027-06-15"),
        ("Love-in-a-mist", 20, False, "2027-06-15"),
    ]


def test_the_grower_may_give_fewer_bunches_but_never_more(week_door: Door) -> None:
    answer(week_door, {"kind": "more", "product": "nigella", "bunches": 3})
    (reply,) = waiting(week_door)
    path = f"/v1/replies/{reply['id']}/accept"

    problem = week_door.refused(422, "POST", path, json={"bunches": {"0": 4}})
    assert "0 to 3" in problem["detail"]
    assert judged(week_door, bunches={"0": 1}) == ["1 of 3 bunches"]
    assert sorted(asked_stems(week_door).values()) == [10, 25, 25]


def test_another_number_a_skip_and_a_pause_are_for_the_weeks_they_name(open_door: Any) -> None:
    door = open_door(known_farm(standing_orders=FOREVER, standing_lines=TWO_LINES))
    on(door.desk, THURSDAY)

    answer(door, {"kind": "change", "line": "anna-2", "stems": 3})
    assert judged(door) == ["yes"]
    assert [stems for (_, due), stems in asked_stems(door).items() if due == "2027-06-15"] == [25, 3]

    # Nothing this week outranks the number that was changed before.
    answer(door, {"kind": "skip"})
    assert judged(door) == ["yes"]
    assert min(due for _, due in asked_stems(door)) == "2027-06-22"

    answer(door, {"kind": "pause", "until": "2027-W27"})
    assert waiting(door)[0]["asks"] == ["a pause until the end of week 27"]
    assert judged(door) == ["yes"]
    assert min(due for _, due in asked_stems(door)) == "2027-07-13"


def test_a_declined_answer_leaves_the_standing_order(week_door: Door) -> None:
    before = asked_stems(week_door)
    answer(week_door, {"kind": "skip"}, {"kind": "more", "product": "nigella", "bunches": 2})

    assert judged(week_door, "decline") == ["not this time; your standing order stands"] * 2
    assert (waiting(week_door), asked_stems(week_door)) == ([], before)


def test_an_answer_is_judged_once(week_door: Door) -> None:
    answer(week_door, {"kind": "more", "product": "nigella", "bunches": 1})
    (reply,) = waiting(week_door)
    judged(week_door)
    stood = version(week_door)

    problem = week_door.refused(422, "POST", f"/v1/replies/{reply['id']}/decline", json={})
    assert "which was judged" in problem["detail"]
    assert week_door.refused(404, "POST", "/v1/replies/999/accept", json={})
    assert version(week_door) == stood


def test_more_that_would_make_a_promise_fall_is_refused_unless_it_is_overridden(week_door: Door) -> None:
    # k1 has 60; Anna takes 25 of it and Bram 20 with 5 spare. Three bunches more are not there.
    answer(week_door, {"kind": "more", "product": "lagurus", "bunches": 3})
    (reply,) = waiting(week_door)
    stood = version(week_door)

    week_door.refused(409, "POST", f"/v1/replies/{reply['id']}/accept", json={})
    assert (version(week_door), len(waiting(week_door))) == (stood, 1)
    assert judged(week_door, override=True, override_reason="Her birthday.") == ["yes"]
    (entry,) = week_door.desk.store.entries_of("reply-judged")
    assert (entry.facts["overridden"], entry.facts["override_reason"]) == (True, "Her birthday.")


def test_two_asks_that_are_sure_only_one_by_one_are_refused_together(week_door: Door) -> None:
    two = {"kind": "more", "product": "nigella", "bunches": 2}
    answer(week_door, two, two)
    (reply,) = waiting(week_door)

    week_door.refused(409, "POST", f"/v1/replies/{reply['id']}/accept", json={})
    assert judged(week_door, bunches={"1": 1}) == ["yes", "1 of 2 bunches"]


def test_a_larger_number_may_not_take_from_an_earlier_promise(open_door: Any) -> None:
    later = FOREVER.replace("2027-01-10", "2027-06-09")
    door = open_door(known_farm(**PARTY, standing_orders=later))
    on(door.desk, THURSDAY)
    answer(door, {"kind": "change", "line": "anna-1", "stems": 60})
    (reply,) = waiting(door)
    path = f"/v1/replies/{reply['id']}/accept"

    answered = door.ask("POST", path, json={})
    ranks_first = door.desk.plan().farm.site.class_order[0]
    assert answered.status_code == 409, (answered.text, ranks_first)
    assert "Bram's corner's 20 Bunny tail" in answered.json()["detail"]


@pytest.mark.parametrize(
    ("day", "late"), [(date(2027, 6, 10), False), (date(2027, 6, 12), True), (date(2027, 6, 14), True)]
)
def test_a_late_answer_is_kept_and_marked(week_door: Door, day: date, late: bool) -> None:
    on(week_door.desk, day)

    assert answer(week_door, {"kind": "skip"}, note="if you still can") == {"in_time": not late}
    (reply,) = waiting(week_door)
    assert (reply["late"], reply["note"], reply["week"]) == (late, "if you still can", "2027-W24")


ASKS: tuple[dict[str, Any], ...] = (
    {"kind": "yes"},
    {"kind": "more", "product": "nigella", "bunches": 1},
    {"kind": "more", "product": "lagurus:dried", "bunches": 2},
    {"kind": "change", "line": "anna-1", "stems": 0},
    {"kind": "change", "line": "anna-1", "stems": 40},
    {"kind": "skip"},
    {"kind": "pause", "until": "2027-W24"},
    {"kind": "pause", "until": "2027-W25"},
)


def test_no_answer_changes_a_confirmed_list(week_door: Door) -> None:
    on(week_door.desk, BUCKET_DAY)
    week_door.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])
    confirmed = week_door.get("/v1/bucket-lists/2027-06-14")
    own = {key: stems for key, stems in asked_stems(week_door).items() if key[1] < "2027-06-21"}

    @settings(max_examples=scale.count(usual=20, large=400), suppress_health_check=list(HealthCheck))
    @given(st.lists(st.sampled_from(ASKS), min_size=1, max_size=4), st.booleans())
    def stands(asks: list[dict[str, Any]], override: bool) -> None:
        assert answer(week_door, *asks, note="please") == {"in_time": False}
        for reply in waiting(week_door):
            week_door.post(f"/v1/replies/{reply['id']}/accept", {"override": override})
        assert week_door.get("/v1/bucket-lists/2027-06-14") == confirmed
        assert {key: stems for key, stems in asked_stems(week_door).items() if key[1] < "2027-06-21"} == own

    stands()


def test_an_answer_judged_when_its_week_is_over_changes_nothing(week_door: Door) -> None:
    answer(week_door, {"kind": "more", "product": "nigella", "bunches": 1}, {"kind": "skip"})
    on(week_door.desk, date(2027, 6, 17))
    before = asked_stems(week_door)

    assert judged(week_door) == ["too late for this week"] * 2
    assert asked_stems(week_door) == before


@pytest.mark.parametrize(
    ("asks", "sentence"),
    [
        ([], "1 to 200"),
        ([{"kind": "more", "product": "peony", "bunches": 1}], "peony"),
        ([{"kind": "more", "product": "nigella:wet", "bunches": 1}], "a variety key"),
        ([{"kind": "more", "product": "nigella"}], "bunches"),
        ([{"kind": "more", "product": "nigella", "bunches": 0}], "1 to 10000"),
        ([{"kind": "change", "line": "party-1", "stems": 1}], "line of your standing order"),
        ([{"kind": "change", "line": "anna-1"}], "stems"),
        ([{"kind": "pause"}], "until"),
        ([{"kind": "pause", "until": "2027-W20"}], "a week from 2027-W24"),
        ([{"kind": "pause", "until": "soon"}], "until"),
        ([{"kind": "yes"}, {"kind": "pause", "until": "2029-W01"}], "to 2028-W24"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_a_sentence_and_nothing_is_kept(
    week_door: Door, asks: list[dict[str, Any]], sentence: str
) -> None:
    stood = version(week_door)

    refused = week_door.ask("POST", f"/v1/florist/{token(week_door)}/answers", json={"asks": asks})
    assert refused.status_code in (404, 422)
    assert sentence in refused.json()["detail"]
    assert (version(week_door), waiting(week_door)) == (stood, [])


def test_a_link_that_is_forged_old_or_ended_opens_nothing_and_writes_nothing(week_door: Door) -> None:
    good = token(week_door)
    week_door.post("/v1/customers/anna/end-links")
    stood = version(week_door)
    bad = {
        "ended": good,
        "forged": token(week_door, secret="another secret, just as long as the first one"),
        "altered": token(week_door)[:-1] + ("A" if token(week_door)[-1] != "A" else "B"),
        "old": token(week_door, age=HOLDS + timedelta(days=1)),
        "no token": "x",
        "of another purpose": Links(SECRET, lambda: NOW).no_more_mail_path(Holder("anna", 1)).rpartition("/")[2],
    }

    for why, held in bad.items():
        assert week_door.ask("GET", f"/v1/florist/{held}").status_code == 403, why
        asked = week_door.ask("POST", f"/v1/florist/{held}/answers", json={"asks": [{"kind": "skip"}]})
        assert asked.status_code == 403, why
        assert week_door.ask("GET", f"/f/{held}").status_code == 403, why
        assert week_door.ask("POST", f"/f/{held}", data={"word": "skip"}).status_code == 403, why
    assert (version(week_door), waiting(week_door)) == (stood, [])
    assert week_door.ask("GET", f"/v1/florist/{token(week_door)}").status_code == 200


def test_another_florists_link_answers_for_herself_alone(week_door: Door) -> None:
    path = f"/v1/florist/{token(week_door, 'bram')}/answers"

    assert week_door.refused(404, "POST", path, json={"asks": [{"kind": "change", "line": "anna-1", "stems": 1}]})
    answer(week_door, {"kind": "skip"}, customer="bram")
    assert waiting(week_door)[0]["customer"] == "bram"
    assert judged(week_door) == ["yes"]
    assert asked_stems(week_door)["anna-1", "2027-06-15"] == 25


def test_ending_the_links_of_a_stranger_is_refused(week_door: Door) -> None:
    assert week_door.refused(404, "POST", "/v1/customers/nobody/end-links")


def test_the_list_and_the_grower_s_word_are_each_one_letter_without_names(week_door: Door) -> None:
    keyed = [week_door.ask("POST", "/v1/availability-lists", headers={"Idempotency-Key": "a"}) for _ in range(2)]
    assert [one.json() for one in keyed] == [{"queued": 1}, {"queued": 1}]
    assert week_door.post("/v1/availability-lists") == {"queued": 0}
    answer(week_door, {"kind": "more", "product": "nigella", "bunches": 1})
    judged(week_door, note="with pleasure")

    letters = week_door.desk.store.outbox.posted()
    assert sorted((letter.kind, letter.customer) for letter in letters) == [
        ("availability", "anna"),
        ("reply-judged", "anna"),
    ]
