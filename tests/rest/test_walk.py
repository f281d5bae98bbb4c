"""The walk through REST: every bed, what can be said there, what is left blank, what is asked about, and sent twice."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from support.bucket_days import bucket_farm
from support.door import Door

OpenDoor = Callable[[dict[str, bytes]], Door]
BATCHES = """
key,variety,sow_date,method,sown,plants,plant_out_date,bed,status
older,lagurus,2027-02-22,heated,60,50,2027-04-20,south,planted
newer,lagurus,2027-03-01,heated,60,50,2027-04-27,north,planted
drilled,lagurus,2027-03-29,direct,130,126,,north,sown
trays,lagurus,2027-05-24,heated,60,50,2027-07-20,south,sown
"""


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """Two beds, of which one has a sowing that was drilled where it stands, and one that is still in trays."""
    return open_door(bucket_farm(batches=BATCHES))


def records(door: Door) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = door.get("/v1/records")["rows"]
    return rows


def standing(batch: str, stems: int, **more: Any) -> dict[str, Any]:
    return {"said": "standing", "batch": batch, "count": stems, **more}


def test_every_bed_is_walked_with_what_grows_in_it_and_trays_are_not(door: Door) -> None:
    stops = door.get("/v1/walk")["stops"]

    assert [(stop["name"], [one["batch"] for one in stop["growing"]]) for stop in stops] == [
        ("North bed", ["newer", "drilled"]),
        ("South bed", ["older"]),
    ]


def test_the_cut_list_knows_the_bed_of_what_was_drilled(door: Door) -> None:
    door.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 80}]})

    (row,) = door.get("/v1/cut-lists/2027-06-14")["rows"]
    assert {bed["bed"]: bed["batches"] for bed in row["beds"]} == {
        "North bed": ["newer", "drilled"],
        "South bed": ["older"],
    }


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"said": "standing", "count": 40}, {"kind": "standing", "count": 40}),
        ({"said": "not_yet"}, {"kind": "not_yet"}),
        ({"said": "gone_over"}, {"kind": "waste", "reason": "gone_over"}),
        ({"said": "frost_damage"}, {"kind": "waste", "reason": "frost"}),
        ({"said": "frost_damage", "share_pct": 40}, {"kind": "lost", "reason": "frost", "share_pct": 40}),
        ({"said": "part_lost", "count": 30, "reason": "pests"}, {"kind": "lost", "reason": "pests", "count": 30}),
        ({"said": "all_lost"}, {"kind": "lost"}),
    ],
)
def test_what_is_said_at_a_stop_is_one_record_of_it(door: Door, said: dict[str, Any], expected: dict[str, Any]) -> None:
    door.post("/v1/walk", {"seen": [{**said, "batch": "drilled"}]})

    (row,) = records(door)
    told = {name: row.get(name) for name in ("batch", "kind", "count", "share_pct", "reason")}
    assert told == {"batch": "drilled", "count": None, "share_pct": None, "reason": None, **expected}


@pytest.mark.parametrize(
    "said",
    [
        {"said": "standing", "batch": "older"},
        {"said": "part_lost", "batch": "older"},
        {"said": "part_lost", "batch": "older", "count": 3, "share_pct": 3},
        {"said": "all_lost", "batch": "older", "count": 3},
        {"said": "gone_over", "batch": "older", "share_pct": 3},
        {"said": "not_yet"},
        {"said": "not_yet", "batch": "older", "variety": "lagurus"},
        {"said": "not_yet", "bed": "attic"},
        {"said": "standing", "bed": "north", "count": 5},
        {"said": "not_yet", "batch": "nobody"},
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_written(door: Door, said: dict[str, Any]) -> None:
    door.refused(422, "POST", "/v1/walk", json={"seen": [standing("newer", 5), said]})

    assert records(door) == []


def test_what_is_said_of_a_bed_is_said_of_every_sowing_in_it(door: Door) -> None:
    door.post("/v1/walk", {"seen": [{"said": "frost_damage", "bed": "north"}]})

    assert [row["batch"] for row in records(door)] == ["newer", "drilled"]


@pytest.mark.parametrize(("lost", "least", "most"), [({"share_pct": 25}, 0.7, 0.8), ({"count": 30}, 0.5, 0.76)])
def test_losing_some_of_126_leaves_the_rest(door: Door, lost: dict[str, int], least: float, most: float) -> None:
    path, window = "/v1/availability", {"from_": "2027-W26", "weeks": 4, "product": "lagurus"}
    door.post("/v1/walk", {"seen": [{"said": "all_lost", "batch": key} for key in ("older", "newer")]})
    before = sum(row["ready_p50"] for row in door.get(path, **window)["rows"])
    door.post("/v1/walk", {"seen": [{"said": "part_lost", "batch": "drilled", **lost}]})
    after = sum(row["ready_p50"] for row in door.get(path, **window)["rows"])

    # Not all of 126 came up, so that 30 plants are more than 30 of 126.
    assert before > 50 and least * before < after < most * before


def test_what_was_left_blank_is_named_once_and_only_an_answer_writes_it(door: Door) -> None:
    first = door.post("/v1/walk", {"walk": "w1", "seen": [standing("newer", 20)]})
    assert {one["batch"] for one in first["blank"]} == {"older", "drilled"}
    assert len(records(door)) == 1

    door.post("/v1/walk", {"walk": "w1", "blank": "not_looked"})
    assert len(records(door)) == 1

    answered = door.post("/v1/walk", {"walk": "w1", "blank": "nothing_yet"})
    assert answered["blank"] == []
    assert {(row["batch"], row["kind"]) for row in records(door)[1:]} == {("older", "not_yet"), ("drilled", "not_yet")}


def test_what_has_begun_is_never_asked_about(door: Door) -> None:
    door.post("/v1/walk", {"seen": [standing("older", 20)]})

    assert "older" not in {one["batch"] for one in door.post("/v1/walk", {"seen": [standing("newer", 5)]})["blank"]}


def test_a_walk_with_a_key_is_written_once_however_often_it_is_sent(door: Door) -> None:
    body = {"walk": "w1", "date": "2027-06-14", "seen": [standing("newer", 20)], "blank": "nothing_yet", "frost": True}
    first = door.post("/v1/walk", body)
    known = records(door)

    assert door.post("/v1/walk", body) == first
    assert records(door) == known
    changed = {**body, "seen": [standing("newer", 21)]}
    assert "taken" in door.refused(422, "POST", "/v1/walk", json=changed)["detail"]


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 1, 0, 0)])
def test_two_phones_may_count_one_bed_in_any_order(door: Door, order: tuple[int, ...]) -> None:
    sent = [
        {"walk": "a", "typed_at": "2027-06-14T07:00:00Z", "seen": [standing("older", 30), standing("newer", 12)]},
        {"walk": "b", "typed_at": "2027-06-14T07:30:00Z", "seen": [standing("older", 44)]},
        {"walk": "c", "typed_at": "2027-06-14T08:00:00+02:00", "counts": [{"variety": "lagurus", "standing": 90}]},
    ]
    for place in order:
        door.post("/v1/walk", {**sent[place], "date": "2027-06-14"})

    assert sorted(row["count"] for row in records(door)) == [12, 30, 44, 90]
    customers = door.get("/v1/bucket-lists/2027-06-14")["customers"]
    # 90 in all at six: 30 and 12 an hour later leave 48 for the third sowing; then 44 in the first. Of each the lengths
    # are whole stems, which costs at most one of each length: the third line gets what little is left of 104.
    filled = [line["filled"] for customer in customers for line in customer["lines"]]
    assert filled[:2] == [60, 40] and 98 <= sum(filled) <= 104


DOUBTFUL = [
    ("/v1/records", {"kind": "first_cut", "batch": "drilled", "date": "2027-06-20"}, "still to come"),
    (
        "/v1/records",
        {"kind": "standing", "batch": "drilled", "count": 5, "date": "2027-03-01"},
        "it was sown on 29 March",
    ),
    ("/v1/records", {"kind": "first_cut", "batch": "drilled", "date": "2027-04-12"}, "days later"),
    ("/v1/cuts", {"batch": "older", "stems": 5000}, "50 plants give about"),
    ("/v1/cuts", {"batch": "older", "stems": 5, "date": "2027-12-24"}, "24 December 2027"),
    ("/v1/walk", {"seen": [standing("older", 5)], "date": "2027-06-15"}, "still to come"),
    ("/v1/walk", {"seen": [standing("older", 5, typed_at="2099-06-14T07:00:00Z")]}, "is the clock right?"),
]


@pytest.mark.parametrize(("path", "body", "words"), DOUBTFUL)
def test_what_cannot_well_be_is_asked_about_and_taken_when_it_is_said_again(
    door: Door, path: str, body: dict[str, Any], words: str
) -> None:
    problem = door.refused(409, "POST", path, json=body)
    assert problem["type"] == "/problems/really"
    assert words in " ".join(problem["doubts"]) and words in problem["detail"]
    assert records(door) == []

    door.post(path, {**body, "really": True})
    (row,) = records(door)
    assert row["really"] is True


def test_what_is_in_no_doubt_is_not_marked(door: Door) -> None:
    door.post("/v1/cuts", {"batch": "older", "stems": 5, "really": True})

    assert records(door)[0]["really"] is False


def test_a_record_and_a_cut_with_a_key_are_written_once(door: Door) -> None:
    for path, body in (
        ("/v1/cuts", {"batch": "older", "stems": 5, "key": "c1"}),
        ("/v1/records", {"kind": "lost", "batch": "newer", "share_pct": 20, "key": "l1"}),
    ):
        door.post(path, body)
        door.post(path, body)

    assert [row["key"] for row in records(door)] == ["c1", "l1"]
    assert sum(one["stems"] for one in door.get("/v1/store")["stems"]) == 5
    door.refused(422, "POST", "/v1/cuts", json={"batch": "older", "stems": 6, "key": "c1"})
