"""Checked against openapi-python-client 0.29 (MIT): the client it makes from the description keeps the contract."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from haulm.rest.app import create_app
from haulm.rest.row_examples import NEW_ROWS
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm
from support.made_client import MadeClient, importable, make_client

MONDAY = dt.date(2027, 6, 14)
PARTY_DAY = "2027-06-18"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Any]]:
    """The description, once a client was made from it without a warning."""
    store = sqlite_store(tmp_path_factory.mktemp("described"))
    described = create_app(desk_over(store, known_farm())).openapi()
    store.close()
    folder = tmp_path_factory.mktemp("made")
    assert make_client(described, folder) == []
    with importable(folder):
        yield described


@pytest.fixture
def client(made: dict[str, Any], tmp_path: Path) -> Iterator[MadeClient]:
    """The made client of the farm of known stems with the party."""
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm(**PARTY))) as door:
        yield MadeClient(door, made)
    store.close()


def quoted(client: MadeClient, stems: int) -> str:
    """The id of a quote for so many bunny tails."""
    asked = {"date": "2027-06-17", "kind": "one_off", "lines": [{"product": "lagurus", "stems": stems}]}
    status, quote = client.ask("POST /v1/quotes", body=client.body("QuoteAsk", asked))
    assert status == 201
    return str(quote.id)


def test_questions_are_answered_in_the_shapes_of_the_contract(client: MadeClient) -> None:
    _, found = client.ask("GET /v1/availability", from_="2027-W24", weeks=2, confidence=0.8)
    first = next(row for row in found.rows if row.product == "lagurus")
    assert (found.confidence, found.weeks, first.ready_p50) == (0.8, ["2027-W24", "2027-W25"], 60)

    _, found = client.ask("GET /v1/match", from_=MONDAY, to=dt.date(2027, 6, 18))
    assert {(one.line, one.stems, one.filled) for one in found.lines} >= {("anna-1", 25, 25), ("party-1", 20, 20)}

    _, found = client.ask("GET /v1/shortfalls", confidence=0.8)
    (gap,) = found.gaps
    assert gap.lines == ["late-1"] and [one.line for one in found.shortfalls] == ["late-1"]
    status, _ = client.ask("GET /v1/gaps/{gap}/options", gap.gap)
    assert status == 200


def test_a_quote_is_held_contracted_and_let_go(client: MadeClient) -> None:
    key = quoted(client, 5)
    hold = client.body("HoldAsk", {"until": "2027-06-16", "confidence": 0.5})
    assert client.ask("POST /v1/quotes/{quote_id}/hold", key, body=hold)[1].status == "on_hold"
    contract = client.body("ContractAsk", {"confidence": 0.5})
    assert client.ask("POST /v1/quotes/{quote_id}/contract", key, body=contract)[1].status == "contracted"

    other = quoted(client, 3)
    assert client.ask("POST /v1/quotes/{quote_id}/release", other)[0] == 200


def test_a_promise_that_cannot_be_kept_is_refused_as_described(client: MadeClient) -> None:
    status, problem = client.ask(
        "POST /v1/quotes/{quote_id}/hold",
        quoted(client, 500),
        body=client.body("HoldAsk", {"until": "2027-06-16", "confidence": 0.8}),
    )

    assert (status, problem.type_, problem.status) == (409, "/problems/promise-refused", 409)
    assert problem.detail.endswith(".") and problem["falls"] is not None


def test_every_example_of_a_row_is_written_and_read_back(client: MadeClient, made: dict[str, Any]) -> None:
    nouns = {path: operation for path, operation in made["paths"].items() if "post" in operation}
    for collection, example in NEW_ROWS.items():
        path = f"/v1/{collection.replace('_', '-')}"
        schema = nouns[path]["post"]["requestBody"]["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2]
        values = (
            {**example, "key": f"new-{collection}"} if collection in ("varieties", "beds", "customers") else example
        )
        status, _ = client.ask(f"POST {path}", body=client.body(schema, {**values, **AS_KNOWN.get(collection, {})}))
        assert status == 201, collection
        _, page = client.ask(f"GET {path}", limit=1000)
        assert page.next_ is None and page.rows


AS_KNOWN: dict[str, dict[str, Any]] = {
    "batches": {"bed": "new-beds"},
    "sprays": {"bed": "new-beds"},
    "orders": {"key": "feast"},
    "order_lines": {"key": "feast-1", "order": "feast"},
    "standing_orders": {"key": "anna-more"},
    "standing_lines": {"key": "anna-2", "order": "anna-more", "stems": 1, "minimum": 0},
    "changes": {"order": "anna-more"},
}


def test_a_row_is_changed_at_the_version_that_was_read_alone(client: MadeClient) -> None:
    row = client.ask("GET /v1/known-stems/{key}", "k1")[1]
    fewer = client.body("ChangedKnownStems", {"stems": 59})

    status, changed = client.ask("PATCH /v1/known-stems/{key}", "k1", body=fewer, if_match=f'"{row.version}"')
    assert (status, changed.stems) == (200, 59)
    status, problem = client.ask("PATCH /v1/known-stems/{key}", "k1", body=fewer, if_match=f'"{row.version}"')
    assert (status, problem.type_) == (412, "/problems/version-stale")


def test_what_is_asked_twice_under_one_key_is_done_once(client: MadeClient) -> None:
    bed, other = (client.body("NewBed", {"key": key, "name": key}) for key in ("north", "west"))

    first = client.ask("POST /v1/beds", body=bed, idempotency_key="a")
    assert first == client.ask("POST /v1/beds", body=bed, idempotency_key="a")
    status, problem = client.ask("POST /v1/beds", body=other, idempotency_key="a")
    assert (status, problem.type_) == (422, "/problems/idempotency-key-reused")


def test_a_fault_is_pointed_at(client: MadeClient) -> None:
    asked = {"date": "2027-06-17", "kind": "one_off", "lines": [{"product": "lagurus", "stems": 3, "minimum": 4}]}
    status, problem = client.ask("POST /v1/quotes", body=client.body("QuoteAsk", asked))

    assert (status, problem.errors[0].pointer) == (422, "/body/lines/0/minimum")


def test_a_list_is_settled_as_it_was_seen_alone(client: MadeClient) -> None:
    assert client.ask("GET /v1/bucket-lists/{day}", MONDAY)[1].customers
    status, problem = client.ask("POST /v1/bucket-lists/{day}/confirm", MONDAY)
    assert (status, problem.type_) == (428, "/problems/seen-not-said")
    status, problem = client.ask("POST /v1/bucket-lists/{day}/confirm", MONDAY, if_match='"old"')
    assert (status, problem.type_) == (412, "/problems/draft-changed")


def test_the_days_the_digest_and_a_forecast_are_told(client: MadeClient) -> None:
    assert client.ask("GET /v1/digest")[1].text
    assert client.ask("POST /v1/calendar-link")[1].path.startswith("/v1/calendar.ics?token=")
    status, problem = client.ask("GET /v1/batches/{key}/forecast", "none")
    assert (status, problem.type_) == (404, "/problems/not-found")
