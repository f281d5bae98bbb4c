"""Whatever is sent, every route that writes answers with what it did or with a problem, and never with a fault."""

import json
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.rest.row_examples import CHANGES, NEW_ROWS
from support import scale
from support.door import PROBLEM, Door
from support.known_farm import PARTY, known_farm

NUMBERS = st.integers() | st.floats() | st.sampled_from([0, -1, 10**9, 10**10, 10**400, 1e308, 2**63, 0.5, True])
TEXTS = (
    st.text(st.characters(), max_size=8)
    | st.sampled_from(
        ["", "lagurus", "lagurus:dried", "2027-06-18", "2027-W25", "2027-06-31", "9999-12-31", "0001-01-01"]
    )
    | st.sampled_from(
        ["contracted", "on_hold", "party", "anna-1", "role=accent", "form=dried", "30:0.5|40:0.5", "x" * 3000]
    )
)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=6,
)
QUOTE: Mapping[str, Any] = {
    "date": "2027-06-20",
    "due": "2027-06-18",
    "customer": "anna",
    "kind": "one_off",
    "confidence": 0.5,
    "lines": [{"product": "lagurus", "stems": 3}],
    "pieces": [{"piece": "buttonhole", "count": 2, "colours": ["white"]}],
    "spare_percent": 10,
}
GOOD: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "/v1/quotes": ("POST", QUOTE),
    "/v1/quotes/enquiry/hold": ("POST", {"until": "2027-06-18", "confidence": 0.5, "override": True}),
    "/v1/quotes/party/contract": ("POST", {"confidence": 0.5, "override": False}),
    "/v1/bucket-lists/2027-06-14/confirm": ("POST", {"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 3}]}),
    "/v1/bucket-lists/2027-06-14/correct": ("POST", {"line": "anna-1", "due": "2027-06-15", "stems": 3, "reason": "x"}),
    "/v1/claims": ("POST", {"line": "anna-1", "due": "2027-06-15", "stems": 3, "reason": "x", "credit_minor": 5}),
    "/v1/walk": ("POST", {"counts": [{"variety": "lagurus", "standing": 3, "not_ready": 2}], "frost": True}),
    "/v1/cuts": ("POST", {"variety": "lagurus", "batch": "b1", "stems": 3, "left": 1, "length_cm": 40, "grade": "A"}),
    "/v1/store/moves": ("POST", {"pile": "r1", "to": "stall", "stems": 3}),
    **{f"/v1/{name.replace('_', '-')}": ("POST", row) for name, row in NEW_ROWS.items()},
    "/v1/varieties/lagurus": ("PATCH", {**NEW_ROWS["varieties"], **CHANGES["varieties"]}),
    "/v1/known-stems/k1": ("PATCH", {**NEW_ROWS["known_stems"], "cut_date": "2027-06-14"}),
    "/v1/customers/anna": ("PATCH", NEW_ROWS["customers"]),
    "/v1/standing-orders/anna-weekly": ("PATCH", NEW_ROWS["standing_orders"]),
    "/v1/standing-lines/anna-1": ("PATCH", {**NEW_ROWS["standing_lines"], "substitutes": "nigella", "stage": "young"}),
    "/v1/orders/party": ("PATCH", {**NEW_ROWS["orders"], "unacceptable": "nigella", "hold_until": "2027-06-18"}),
    "/v1/order-lines/party-1": ("PATCH", {**NEW_ROWS["order_lines"], "spare": 3, "max_each": 2}),
}


@st.composite
def strange(draw: st.DrawFn, good: Mapping[str, Any]) -> Any:
    """A good body with one to three members made strange, left out or added; sometimes anything at all."""
    if draw(st.integers(0, 9)) == 0:
        return draw(VALUES)
    body = dict(good)
    for name in draw(st.lists(st.sampled_from(sorted(body)) | TEXTS, min_size=1, max_size=3)):
        if draw(st.booleans()):
            body[name] = draw(VALUES)
        else:
            body.pop(name, None)
    return body


@pytest.mark.parametrize("path", GOOD)
def test_a_strange_body_is_answered(open_door: Any, path: str) -> None:
    door = open_door(known_farm(**PARTY))
    door.post("/v1/orders", {"key": "enquiry", "customer": "anna", "kind": "one_off", "due_date": "2027-06-18"})
    door.post("/v1/order-lines", {"key": "enquiry-1", "order": "enquiry", "stems": 3, "product": "nigella"})
    method, good = GOOD[path]

    @settings(max_examples=scale.count(usual=25, large=1000), suppress_health_check=list(HealthCheck))
    @given(strange(good))
    def answered(body: Any) -> None:
        check(door, method, path, json.dumps(body))

    answered()
    # What was let in can be read back: the farm is as sound as before.
    door.get("/v1/match")
    door.get("/v1/digest")


def check(door: Door, method: str, path: str, content: str) -> None:
    """Send it; a refusal must be a problem with a sentence."""
    answer = door.ask(method, path, content=content, headers={"Content-Type": "application/json"})
    assert answer.status_code < 500
    if not answer.is_success:
        assert answer.headers["content-type"] == PROBLEM
        assert answer.json()["detail"].endswith(".")


@pytest.mark.parametrize("part", ["%00", "%F0%9F", "x" * 5000, "..%2f..", "{key}", "9999-12-31", "1"])
def test_a_strange_path_is_answered(door: Door, part: str) -> None:
    for path, (method, good) in GOOD.items():
        parts = path.split("/")
        strange_path = "/".join([*parts[:3], part, *parts[4:]])

        answer = door.ask(method, strange_path, json=dict(good), headers={"Idempotency-Key": "a"})
        assert 400 <= answer.status_code < 500, strange_path


@given(
    st.lists(st.tuples(st.sampled_from(["from", "to", "season", "confidence", "weeks", "product", "weekday"]), TEXTS))
)
@settings(max_examples=scale.count(usual=40, large=2000), suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_strange_question_is_answered(door: Door, query: list[tuple[str, str]]) -> None:
    printable = [(name, text.encode("utf-8", "replace").decode()) for name, text in query]
    for path in ("/v1/availability", "/v1/match", "/v1/shortfalls"):
        assert door.ask("GET", path, params=printable).status_code in (200, 404, 422)
