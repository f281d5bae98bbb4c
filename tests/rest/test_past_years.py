"""Past years over REST: entered, asked about, changed, taken back, and refused in one sentence beside the column."""

from __future__ import annotations

from typing import Any

import pytest

from support.door import Door
from support.farms import grower_folder

VARIETIES = "key,name\nzinnia_white,White zinnia\nzinnia_apricot,Apricot zinnia\npeony,Pink peony"
ROW = {"variety": "zinnia_white", "year": 2026, "stems": 1500, "plants": 100}


@pytest.fixture
def farm(open_door: Any) -> Door:
    """The door to a farm with two zinnias and a peony, on 14 June 2027."""
    return open_door(grower_folder(varieties=VARIETIES))


def faults(door: Door, **values: Any) -> dict[str, tuple[str, str]]:
    """What was found and what would be accepted, by column."""
    problem = door.refused(422, "POST", "/v1/past-years", json={**ROW, **values})
    return {error["pointer"].removeprefix("/body/"): (error["found"], error["accepted"]) for error in problem["errors"]}


def test_a_year_is_entered_changed_under_its_tag_and_taken_back(farm: Door) -> None:
    added = farm.ask("POST", "/v1/past-years", json=ROW)
    path = f"/v1/past-years/{added.json()['key']}"
    changed = farm.ask("PATCH", path, json={"stems": 1600}, headers={"If-Match": added.headers["etag"]})

    stale = farm.refused(412, "DELETE", path, headers={"If-Match": added.headers["etag"]})
    assert stale["type"] == "/problems/version-stale"
    gone = farm.ask("DELETE", path, headers={"If-Match": changed.headers["etag"]})

    assert (gone.status_code, gone.json()["stems"]) == (200, 1600)
    assert farm.get("/v1/past-years") == {"rows": [], "next": None}
    farm.refused(404, "DELETE", path)


def test_the_same_key_takes_back_once(farm: Door) -> None:
    path = f"/v1/past-years/{farm.post('/v1/past-years', ROW)['key']}"
    first, again = (farm.ask("DELETE", path, headers={"Idempotency-Key": "tap-1"}) for _ in range(2))

    assert (first.status_code, first.json()) == (again.status_code, again.json())


def test_how_it_was_grown_is_entered_and_taken_back(farm: Door) -> None:
    silent = farm.post("/v1/past-years", {**ROW, "year": 2025})
    added = farm.post("/v1/past-years", {**ROW, "method": "cover", "tunnel": True})
    changed = farm.ask("PATCH", f"/v1/past-years/{added['key']}", json={"method": None, "tunnel": False}).json()

    assert [(row["method"], row["tunnel"]) for row in (silent, added, changed)] == [
        (None, False),
        ("cover", True),
        (None, False),
    ]


@pytest.mark.parametrize(
    ("values", "column", "found", "accepted"),
    [
        (
            {"sow_date": "2026-05-01", "first_cut": "2026-04-02"},
            "first_cut",
            "Thu 2 Apr 2026",
            "a day after its sowing, Fri 1 May 2026",
        ),
        (
            {"first_cut": "2026-07-02", "last_cut": "2026-07-01"},
            "last_cut",
            "Wed 1 Jul 2026",
            "a day not before the first cut, Thu 2 Jul 2026",
        ),
        ({"first_cut": "2025-07-02"}, "first_cut", "Wed 2 Jul 2025", "a day in 2026, the year it is entered for"),
        ({"year": 2028}, "year", "2028", "a year that has come, 2027 or before"),
        (
            {"year": 2027, "first_cut": "2027-07-02"},
            "first_cut",
            "Fri 2 Jul 2027, which is still to come",
            "a day not after Mon 14 Jun 2027",
        ),
        ({"plants": None}, "plants", "nothing", "the number of plants that gave the 1,500 stems"),
        (
            {"stems": None, "plants": None},
            "first_cut",
            "nothing",
            "the day of the first cut, or stems and plants, or both",
        ),
        ({"variety": None}, "variety", "nothing", "a variety, or a whole kind in its place"),
        ({"variety": "tulip"}, "variety", "'tulip'", "a key of this farm's varieties"),
        (
            {"variety": None, "kind": "tulip"},
            "kind",
            "'tulip'",
            "a kind that this farm has varieties of: peony, zinnia",
        ),
    ],
)
def test_what_cannot_be_is_said_beside_its_column(
    farm: Door, values: dict[str, Any], column: str, found: str, accepted: str
) -> None:
    said = faults(farm, **values)[column]

    assert (said[0], said[1]) == (found, accepted)
    assert farm.get("/v1/past-years")["rows"] == []


def test_a_year_told_twice_is_refused(farm: Door) -> None:
    farm.post("/v1/past-years", ROW)

    assert faults(farm)["year"] == ("2026 a second time", "each year and sowing of a kind once")


def test_a_day_on_which_a_kind_was_sown_in_two_ways_is_told_of_each(farm: Door) -> None:
    ways = ({"method": "direct"}, {"method": "cover"}, {"method": "cover", "tunnel": True})
    for way in ways:
        farm.post("/v1/past-years", {**ROW, **way})

    assert len(farm.get("/v1/past-years")["rows"]) == len(ways)
    assert faults(farm, method="cover")["year"][0] == "2026 a second time"


def test_ten_times_the_usual_is_asked_about_and_written_when_it_is_so(farm: Door) -> None:
    problem = farm.refused(409, "POST", "/v1/past-years", json={**ROW, "stems": 30_000})

    assert problem["type"] == "/problems/really"
    assert problem["detail"].startswith(
        "Really? White zinnia, 2026: 30,000 stems for sale of 100 plants are about 372 a plant before sorting;"
    )
    assert farm.get("/v1/past-years")["rows"] == []
    added = farm.post("/v1/past-years", {**ROW, "stems": 30_000, "really": True})
    assert (added["stems"], added["really"]) == (30_000, True)


def test_what_is_usual_was_never_doubtful(farm: Door) -> None:
    assert farm.post("/v1/past-years", {**ROW, "really": True})["really"] is False


def test_a_figure_that_is_typed_anew_holds_no_season(farm: Door) -> None:
    farm.patch("/v1/varieties/zinnia_white", {"stems_per_plant": 12, "stems_through": 2026})

    assert farm.patch("/v1/varieties/zinnia_white", {"price_minor": 500})["stems_through"] == 2026
    assert farm.patch("/v1/varieties/zinnia_white", {"stems_per_plant": 14})["stems_through"] is None
