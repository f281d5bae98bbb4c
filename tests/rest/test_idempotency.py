"""The same Idempotency-Key does a thing once and answers alike; keys are tied to their body and route."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from support.door import Door

BED = {"key": "north", "name": "North"}
QUOTE = {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 20}]}


def post(door: Door, path: str, body: object, key: str) -> tuple[int, object]:
    """Status and body of a POST with a key."""
    answer = door.ask("POST", path, json=body, headers={"Idempotency-Key": key})
    return answer.status_code, answer.json()


def test_the_same_key_and_body_get_the_same_answer_and_nothing_is_done_twice(door: Door) -> None:
    first = post(door, "/v1/quotes", QUOTE, "a")
    version = door.desk.store.version()

    assert post(door, "/v1/quotes", QUOTE, "a") == first
    assert door.desk.store.version() == version
    assert len(door.get("/v1/orders")["rows"]) == 1


def test_an_answer_is_the_first_one_whatever_happened_since(door: Door) -> None:
    first = post(door, "/v1/beds", BED, "a")
    door.patch("/v1/beds/north", {"name": "Far north"})

    assert post(door, "/v1/beds", BED, "a") == first


def test_two_keys_are_two_requests(door: Door) -> None:
    assert post(door, "/v1/quotes", QUOTE, "a") != post(door, "/v1/quotes", QUOTE, "b")
    assert len(door.get("/v1/orders")["rows"]) == 2


def test_a_key_with_another_body_is_refused(door: Door) -> None:
    post(door, "/v1/beds", BED, "a")

    status, problem = post(door, "/v1/beds", {**BED, "key": "south"}, "a")
    assert (status, dict(problem)["type"]) == (422, "/problems/idempotency-key-reused")  # type: ignore[call-overload]
    assert [row["key"] for row in door.get("/v1/beds")["rows"]] == ["north"]


def test_a_key_belongs_to_its_route(door: Door) -> None:
    assert post(door, "/v1/beds", BED, "a")[0] == post(door, "/v1/records", {"kind": "frost"}, "a")[0] == 201


def test_a_refusal_is_not_kept(door: Door) -> None:
    batch = {"key": "b1", "variety": "lagurus", "bed": "north"}
    assert post(door, "/v1/batches", batch, "a")[0] == 422

    door.post("/v1/beds", BED)
    assert post(door, "/v1/batches", batch, "a")[0] == 201


def test_a_hold_sent_twice_holds_once(door: Door) -> None:
    quote = door.post("/v1/quotes", QUOTE)["id"]
    until = {"until": "2027-06-18"}

    assert post(door, f"/v1/quotes/{quote}/hold", until, "a") == post(door, f"/v1/quotes/{quote}/hold", until, "a")
    assert [str(promise.state) for promise in door.desk.store.promises(order=quote)] == ["asked", "held"]


@pytest.mark.parametrize("key", ["", "k" * 256])
def test_a_key_has_a_length(door: Door, key: str) -> None:
    problem = door.refused(422, "POST", "/v1/beds", json=BED, headers={"Idempotency-Key": key})

    assert problem["where"] == "Idempotency-Key"


def test_a_key_of_any_path_is_read(door: Door) -> None:
    assert (
        door.ask(
            "POST", "/v1/quotes/%00%F0/hold", json={"until": "2027-06-18"}, headers={"Idempotency-Key": "a"}
        ).status_code
        == 404
    )


def test_a_key_that_is_being_answered_is_refused_until_it_is(door: Door) -> None:
    started, go_on = threading.Event(), threading.Event()
    desk, real_now = door.desk, door.desk.now

    def slow_now() -> object:
        started.set()
        assert go_on.wait(20)
        return real_now()

    slow = type(desk)(desk.store, desk.planner, desk.today, slow_now)  # type: ignore[arg-type]
    with Door(slow) as slow_door, Door(slow) as same_service, ThreadPoolExecutor(1) as pool:
        same_service.app.state.in_flight = slow_door.app.state.in_flight
        first = pool.submit(post, slow_door, "/v1/beds", BED, "a")
        assert started.wait(20)
        status, problem = post(same_service, "/v1/beds", BED, "a")
        go_on.set()

        assert (status, dict(problem)["type"]) == (409, "/problems/idempotency-key-in-flight")  # type: ignore[call-overload]
        assert first.result()[0] == 201
        assert post(same_service, "/v1/beds", BED, "a") == first.result()
