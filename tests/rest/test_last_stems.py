"""Many clients hold the last stems at the same moment, over real connections: every stem is promised exactly once."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from haulm.jobs.desk.desk import Desk
from haulm.rest.app import create_app
from haulm.store.store import Store
from haulm.store.words import PromiseState
from support import scale
from support.desks import desk_over, sqlite_store
from support.known_farm import known_farm
from support.live_service import live_service

CLIENTS = 64
ROUNDS = scale.count(usual=1, large=10)
STEMS = 20
LAST_STEMS = f"key,product,ready_date,stems\nk1,nigella,2027-06-14,{STEMS}"


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def desk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Desk]:
    """A desk over a farm whose last nigella are twenty, on each engine."""
    store = sqlite_store(tmp_path) if request.param == "sqlite" else Store.open(request.getfixturevalue("postgres_url"))
    yield desk_over(store, known_farm(known_stems=LAST_STEMS))
    store.close()


# No certificate is looked at here, and reading in those of the system for each client takes longer than its question.
def held(address: str, quote: str) -> httpx.Response:
    """The answer to one client that holds its quote's single stem."""
    with httpx.Client(base_url=address, timeout=120, verify=False) as client:
        return client.post(f"/v1/quotes/{quote}/hold", json={"until": "2027-06-18"}, headers={"Idempotency-Key": quote})


@pytest.mark.parametrize("_round", range(ROUNDS))
def test_the_last_stems_are_held_by_as_many_clients_and_no_more(desk: Desk, _round: int) -> None:
    one = {"date": "2027-06-18", "kind": "one_off", "lines": [{"product": "nigella", "stems": 1}]}
    with live_service(create_app(desk)) as address:
        with httpx.Client(base_url=address) as client:
            quotes = [client.post("/v1/quotes", json=one).raise_for_status().json()["id"] for _ in range(CLIENTS)]
        with ThreadPoolExecutor(CLIENTS) as pool:
            answers = list(pool.map(lambda quote: held(address, quote), quotes))
        free = httpx.get(f"{address}/v1/availability?from=2027-W24&weeks=1&weekday=fri&product=nigella").json()

    refused = [answer.json() for answer in answers if answer.status_code != 200]
    assert len(answers) - len(refused) == STEMS
    assert {(problem["status"], problem["type"]) for problem in refused} == {(409, "/problems/promise-refused")}
    # Holds of one day stand by their keys, so a late one is either unsure itself or would take a stem from another.
    assert all(problem["unsure"] or problem["falls"] for problem in refused)
    assert all("1 Love-in-a-mist" in problem["detail"] and "0 %" in problem["detail"] for problem in refused)
    assert all(problem["most"] == 0 for problem in refused)
    assert free["rows"][0]["free_to_promise"] == 0
    book = [promise for promise in desk.store.promises() if promise.state is PromiseState.HELD]
    assert len({promise.line for promise in book}) == len(book) == STEMS


def test_one_key_sent_by_many_at_once_is_done_once(desk: Desk) -> None:
    one = {"date": "2027-06-18", "kind": "one_off", "lines": [{"product": "nigella", "stems": 1}]}
    with live_service(create_app(desk)) as address:

        def quoted(_: int) -> httpx.Response:
            with httpx.Client(base_url=address, timeout=120, verify=False) as client:
                return client.post("/v1/quotes", json=one, headers={"Idempotency-Key": "one"})

        with ThreadPoolExecutor(8) as pool:
            answers = list(pool.map(quoted, range(8)))

    assert {answer.status_code for answer in answers} <= {201, 409}
    assert len({answer.text for answer in answers if answer.status_code == 201}) == 1
    assert len(desk.store.farm().orders) == 1
