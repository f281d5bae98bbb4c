"""The rows of the farm folder over REST: every collection read, added to and changed."""

from typing import Any

import pytest

from haulm.jobs.farm.change_rows import ADDED_ONLY, KEYED
from haulm.rest.row_examples import CHANGES, NEW_ROWS
from support.door import Door
from support.farms import grower_folder

CHANGED = [name for name in KEYED if name not in ADDED_ONLY]


def path_of(collection: str) -> str:
    """The address of a collection."""
    return f"/v1/{collection.replace('_', '-')}"


@pytest.fixture
def empty(open_door: Any) -> Door:
    """The door to a farm that has nothing but a name."""
    return open_door(grower_folder())


def test_every_collection_takes_a_row_and_gives_it_back(empty: Door) -> None:
    for collection in KEYED:
        added = empty.post(path_of(collection), NEW_ROWS[collection])

        read = empty.get(f"{path_of(collection)}/{added['key']}")
        assert read == added
        said = {name: value for name, value in NEW_ROWS[collection].items() if name not in ("email", "phone")}
        assert {name: read[name] for name in said} == said
        assert empty.get(path_of(collection)) == {"rows": [read], "next": None}


def test_a_change_changes_what_it_names_and_nothing_else(empty: Door) -> None:
    for collection in KEYED:
        empty.post(path_of(collection), NEW_ROWS[collection])
    for collection in CHANGED:
        (before,) = empty.get(path_of(collection))["rows"]

        after = empty.patch(f"{path_of(collection)}/{before['key']}", CHANGES[collection])
        assert after == {**before, **CHANGES[collection], "version": after["version"]}
        assert after["version"] > before["version"]


def test_a_record_is_never_changed(empty: Door) -> None:
    assert empty.refused(405, "PATCH", "/v1/records/r1", json={"count": 1})["type"] == "about:blank"


def test_a_record_without_a_day_is_of_today_and_without_a_key_gets_one(door: Door) -> None:
    added = door.post("/v1/records", {"kind": "frost"})

    assert added["date"] == "2027-06-14"
    assert door.get(f"/v1/records/{added['key']}") == added


def test_an_email_is_written_and_never_read_back(door: Door) -> None:
    assert "email" not in door.get("/v1/customers/anna")
    door.patch("/v1/customers/anna", {"notice_days": 5})

    kept = next(customer for customer in door.desk.store.farm().customers if customer.key == "anna")
    assert (kept.email, kept.notice_days) == ("anna@verhoeven.example", 5)


def test_a_stale_etag_gets_412_and_a_fresh_one_passes(door: Door) -> None:
    first = door.ask("GET", "/v1/known-stems/k1")
    etag = first.headers["etag"]
    second = door.ask("PATCH", "/v1/known-stems/k1", json={"stems": 50}, headers={"If-Match": etag})

    problem = door.refused(412, "PATCH", "/v1/known-stems/k1", json={"stems": 40}, headers={"If-Match": etag})

    assert problem["type"] == "/problems/version-stale"
    assert door.get("/v1/known-stems/k1")["stems"] == 50
    door.patch("/v1/known-stems/k1", {"stems": 40}, If_Match=second.headers["etag"])
    assert door.refused(422, "PATCH", "/v1/known-stems/k1", json={}, headers={"If-Match": "new"})["where"] == "If-Match"


def test_what_is_added_carries_its_etag(door: Door) -> None:
    added = door.ask("POST", "/v1/beds", json={"key": "north", "name": "North"})

    assert added.headers["etag"] == door.ask("GET", "/v1/beds/north").headers["etag"] == f'"{added.json()["version"]}"'


def test_a_cursor_leads_through_all_rows_in_order(door: Door) -> None:
    for number in range(7):
        door.post("/v1/beds", {"key": f"bed-{number}", "name": f"Bed {number}"})
    keys: list[str] = []
    query: dict[str, Any] = {"limit": 3}
    while True:
        page = door.get("/v1/beds", **query)
        keys += [row["key"] for row in page["rows"]]
        if page["next"] is None:
            break
        query["next"] = page["next"]

    assert keys == [f"bed-{number}" for number in range(7)]


@pytest.mark.parametrize("cursor", ["", "x", "!!!", "LTE", "MTIzNDU2Nzg5MDEy", "\u00e9"])
def test_a_cursor_that_is_none_is_refused(door: Door, cursor: str) -> None:
    assert door.refused(422, "GET", "/v1/beds", params={"next": cursor})["where"] == "next"


@pytest.mark.parametrize("limit", ["0", "1001", "many"])
def test_a_page_has_a_thousand_rows_at_most(door: Door, limit: str) -> None:
    assert door.refused(422, "GET", "/v1/beds", params={"limit": limit})["errors"][0]["pointer"] == "/query/limit"


@pytest.mark.parametrize(
    ("path", "body", "pointer", "found", "accepted"),
    [
        ("/v1/beds", {"key": "b", "name": "B", "metres": "long"}, "/body/metres", "'long'", "a number from 0 to"),
        (
            "/v1/beds",
            {"key": "b", "name": "B", "length": 3},
            "/body/length",
            "the unknown name 'length'",
            "one of key,",
        ),
        ("/v1/beds", {"key": "b"}, "/body/name", "nothing", "one line"),
        ("/v1/beds", {"key": "a b", "name": "B"}, "/body/key", "'a b'", "a key of 1 to 64"),
        ("/v1/beds", {"key": "b", "name": {"first": "B"}}, "/body/name", "dict", "one line"),
        ("/v1/batches", {"variety": "tulip"}, "/body/variety", "'tulip'", "a key of this farm's varieties"),
        ("/v1/records", {"kind": "cut", "variety": "lagurus"}, "/body/count", "nothing", "a count"),
        ("/v1/varieties", {"key": "v", "name": "V", "role": "star"}, "/body/role", "'star'", "one of focal"),
        ("/v1/standing-lines", {"key": "s", "order": "anna-weekly"}, "/body/stems", "nothing", "a whole number"),
    ],
)
def test_a_row_that_is_not_accepted_names_the_field_what_was_found_and_what_would_be(
    door: Door, path: str, body: dict[str, Any], pointer: str, found: str, accepted: str
) -> None:
    (error, *_) = door.refused(422, "POST", path, json=body)["errors"]

    assert (error["pointer"], error["found"]) == (pointer, found)
    assert error["accepted"].startswith(accepted)


def test_all_faults_of_a_row_are_named_at_once(door: Door) -> None:
    problem = door.refused(422, "POST", "/v1/beds", json={"key": "", "name": "", "metres": "x", "kind": "roof"})

    assert {error["pointer"] for error in problem["errors"]} == {
        "/body/key",
        "/body/name",
        "/body/metres",
        "/body/kind",
    }


def test_a_key_is_taken_once_and_stays(door: Door) -> None:
    bed = {"key": "north", "name": "North"}
    door.post("/v1/beds", bed)

    assert "which is taken" in door.refused(422, "POST", "/v1/beds", json=bed)["detail"]
    assert "keys stay" in door.refused(422, "PATCH", "/v1/beds/north", json={"key": "south"})["detail"]


@pytest.mark.parametrize("method", ["GET", "PATCH"])
def test_a_row_that_is_not_there_is_not_found(door: Door, method: str) -> None:
    more = {"json": {"name": "B"}} if method == "PATCH" else {}

    assert door.refused(404, method, "/v1/beds/nowhere", **more)["key"] == "nowhere"


def test_poison_is_never_for_food(door: Door) -> None:
    door.patch("/v1/varieties/nigella", {"caution": "poisonous in all parts"})

    problem = door.refused(422, "PATCH", "/v1/varieties/nigella", json={"food_use": True})
    assert problem["errors"][0]["pointer"] == "/body/food_use"


@pytest.mark.parametrize(
    ("column", "accepted"),
    [("weeks_to_flower", "a number from 1 to 260"), ("harvest_weeks", "a number from 0.1 to 260")],
)
def test_a_kind_that_flowers_in_no_time_or_for_none_is_refused(door: Door, column: str, accepted: str) -> None:
    answer = door.ask("PATCH", "/v1/varieties/lagurus", json={column: 0})

    assert answer.status_code == 422
    assert f"found 0; accepted is {accepted}" in answer.json()["detail"]
