"""Every refusal is a problem document (RFC 9457) with a sentence; a mistake of the service hides its cause."""

from typing import Any

import pytest

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.rest.statuses import STATUSES
from haulm.store.store import Store
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.farms import grower_folder

JSON = {"Content-Type": "application/json"}
NO_FOOD = {
    "collection": "varieties",
    "key": "nigella",
    "values": {"botanical_name": "Digitalis purpurea", "food_use": True},
}
ROW = {"ready_date": "2027-06-14", "stems": 4}
SUPPOSED = {"collection": "known_stems", "values": {"product": "lagurus", **ROW}}
UNKNOWN = {"collection": "known_stems", "values": {"product": "tulip", **ROW}}


@pytest.mark.parametrize(
    "content",
    [b"{", b"", b'{"key": "\xff"}', b"[" * 100_000, b'{"key": ' + b"9" * 5000 + b"}", b"\x00"],
    ids=["cut off", "empty", "not UTF-8", "nested", "huge number", "NUL"],
)
def test_a_body_that_is_no_json_is_refused(door: Door, content: bytes) -> None:
    problem = door.refused(422, "POST", "/v1/beds", content=content, headers=JSON)

    assert problem["type"] in ("/problems/body-not-read", "/problems/request-not-read")
    assert door.get("/v1/beds")["rows"] == []


@pytest.mark.parametrize(
    "value", ["NaN", "Infinity", "-Infinity", "1e999", "1e308", "9" * 400, "-0.0000000001", '"\\ud800"']
)
def test_a_number_that_is_none_is_refused(door: Door, value: str) -> None:
    body = f'{{"key": "b", "name": "B", "metres": {value}}}'

    (error,) = door.refused(422, "POST", "/v1/beds", content=body, headers=JSON)["errors"]
    assert error["pointer"] == "/body/metres"


@pytest.mark.parametrize("body", ["[]", "3", "null", '"text"'])
def test_a_body_of_another_shape_is_refused(door: Door, body: str) -> None:
    problem = door.refused(422, "POST", "/v1/quotes", content=body, headers=JSON)

    assert problem["type"] == "/problems/request-not-read"
    assert problem["errors"][0]["pointer"] == "/body"


def test_each_place_that_could_not_be_read_is_named(door: Door) -> None:
    problem = door.refused(422, "POST", "/v1/quotes", json={"date": 20270814, "kind": "feast", "a/b~c": 1})

    found = {error["pointer"]: (error["found"], error["accepted"]) for error in problem["errors"]}
    assert found["/body/date"] == ("20270814", "a date such as 2027-05-20, years 1900 to 2999")
    assert found["/body/kind"][1] == "Input should be 'wedding', 'one_off' or 'stall'"
    assert found["/body/a~1b~0c"] == ("1", "Extra inputs are not permitted")


def test_text_that_utf_8_cannot_hold_is_still_answered(door: Door) -> None:
    body = '{"key": "\\ud800"}'

    assert door.refused(422, "PATCH", "/v1/known-stems/k1", content=body, headers=JSON)["found"] == "'?'"
    assert door.refused(422, "POST", "/v1/quotes", content='{"\\ud800": 1}', headers=JSON)["errors"]


def test_an_unknown_path_and_a_wrong_method_are_problems_too(door: Door) -> None:
    assert door.refused(404, "GET", "/v1/nothing")["type"] == "about:blank"
    wrong = door.ask("DELETE", "/v1/beds")
    assert (wrong.status_code, wrong.json()["detail"]) == (405, "DELETE /v1/beds: Method Not Allowed.")
    assert "GET" in wrong.headers["allow"]


def test_a_mistake_of_the_service_says_nothing_of_its_cause(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_store: Store) -> None:
        raise RuntimeError("anna@verhoeven.example")

    monkeypatch.setattr(Store, "farm", broken)
    with Door(door.desk, raises=False) as broken_door:
        problem = broken_door.refused(500, "GET", "/v1/shortfalls")

    assert problem["request_id"] and "anna" not in str(problem)


def test_a_farm_that_is_not_there_is_said_so(tmp_path: Any) -> None:
    store = sqlite_store(tmp_path)
    desk = desk_over(store, grower_folder())
    empty = tmp_path / "empty"
    empty.mkdir()
    nothing = sqlite_store(empty)
    with Door(type(desk)(nothing, desk.planner, desk.today, desk.now)) as door:
        assert door.get("/healthz") == {"status": "ok"}
        assert door.refused(409, "GET", "/v1/match")["type"] == "/problems/farm-empty"
        assert door.refused(409, "POST", "/v1/beds", json={"key": "b", "name": "B"})["type"] == "/problems/farm-empty"
    store.close()
    nothing.close()


def test_every_kind_of_problem_has_a_page_that_explains_it(door: Door) -> None:
    for kind, status in STATUSES.items():
        page = door.ask("GET", f"/problems/{kind.code}")
        assert (page.status_code, page.text.splitlines()[0]) == (200, f"{kind.code} ({status})")
        assert len(page.text.splitlines()) > 2
    assert door.ask("GET", "/problems/request-not-read").status_code == 200
    assert door.refused(404, "GET", "/problems/no-such-thing")["kind"] == "problem"


def test_the_statuses_name_the_root_so_that_a_refusal_without_a_row_is_no_fault() -> None:
    assert (STATUSES[HaulmError], STATUSES[NotFound], STATUSES[NotAccepted]) == (422, 404, 422)


@pytest.mark.parametrize(
    ("path", "body", "pointer"),
    [
        ("/v1/quotes", {"lines": [{"product": "lagurus", "stems": 3}, {"product": "lagurus"}]}, "/body/lines/1/stems"),
        ("/v1/quotes", {"lines": [{"product": "lagurus", "stems": 3, "minimum": 4}]}, "/body/lines/0/minimum"),
        ("/v1/quotes", {"lines": [{"product": "tulip", "stems": 3}]}, "/body/lines/0/product"),
        ("/v1/what-if", {"changes": [{"pause": "anna-weekly"}, {"move": "party"}]}, "/body/changes/1"),
        (
            "/v1/what-if",
            {"changes": [SUPPOSED, {**SUPPOSED, "values": {"stems": 0}}]},
            "/body/changes/1/values/product",
        ),
        ("/v1/what-if", {"changes": [{"pause": "anna-weekly"}, UNKNOWN]}, "/body/changes/1/values/product"),
        ("/v1/what-if", {"changes": [SUPPOSED, UNKNOWN]}, "/body/changes/1/values/product"),
        ("/v1/what-if", {"changes": [SUPPOSED, NO_FOOD]}, "/body/changes/1/values/food_use"),
    ],
)
def test_the_pointer_points_at_the_fault(door: Door, path: str, body: dict[str, Any], pointer: str) -> None:
    asked = {"date": "2027-06-20", "kind": "one_off", **body} if path == "/v1/quotes" else body

    assert door.refused(422, "POST", path, json=asked)["errors"][0]["pointer"] == pointer
