"""How much memory the served demo farm takes, and whether that stays level while it is used. Read the table.

    python tests/benchmarks/memory.py

The service runs in a process of its own, as the program serves it, and is asked over HTTP: all gaps' options and the
combined plan, then 2,000 requests of every sort, one after the other. A tenth of them write something, so the farm
grows; the last line says by how much, and what it takes when it is served anew with all of that.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date, timedelta
from functools import partial
from itertools import cycle
from pathlib import Path
from random import Random
from typing import Any

import httpx
from reads import PAGES, REST, process, serve_demo

AIM = 450
REQUESTS, STEP = 2000, 250
Rows = list[dict[str, Any]]
Request = tuple[str, str, dict[str, Any] | None]


def main() -> None:
    """Print what is resident after each step [MB]."""
    print(f"{'after':44} {'resident':>8} {'seconds':>8}   aim at most {AIM} MB")
    with tempfile.TemporaryDirectory() as place:
        with process(partial(serve_demo, place=Path(place))) as served, client_of(served.port) as client:
            used(client, served.pid)
        with process(partial(serve_demo, place=Path(place))) as served, client_of(served.port) as client:
            answered(client, ("GET", "/v1/shortfalls", None))
            said("served anew with all that was written", served.pid, 0.0)


def used(client: httpx.Client, pid: int) -> None:
    """Everything that a season's use may ask."""
    said("the start", pid, 0.0)
    began = time.perf_counter()
    gaps = answered(client, ("GET", "/v1/shortfalls", None))["gaps"]
    said("the plan", pid, time.perf_counter() - began)
    began = time.perf_counter()
    for gap in gaps:
        answered(client, ("GET", f"/v1/gaps/{gap['gap']}/options", None))
    said(f"the options of all {len(gaps)} gaps", pid, time.perf_counter() - began)
    began = time.perf_counter()
    answered(client, ("POST", "/v1/combined-plan", None))
    while answered(client, ("GET", "/v1/combined-plan", None))["pending"]:
        time.sleep(1)
    said("the combined plan", pid, time.perf_counter() - began)
    before = sizes(client)
    asked = mixed(client)
    began = time.perf_counter()
    for count in range(1, REQUESTS + 1):
        answered(client, next(asked))
        if count % STEP == 0:
            said(f"{count} mixed requests", pid, time.perf_counter() - began)
            began = time.perf_counter()
    print("written:", ", ".join(f"{after - before[name]} {name}" for name, after in sizes(client).items()))


def mixed(client: httpx.Client) -> Iterator[Request]:
    """Requests of every sort without end, in an order that is the same each time."""
    drawn = Random(11)
    of = {name: rows(client, name) for name in ("standing-orders", "standing-lines", "orders", "batches", "varieties")}
    products = [row["key"] for row in of["varieties"]]
    sorts = cycle([*(reads,) * 9, *(what_ifs,) * 5, *(spots,) * 3, writes, writes, pages])
    for number, sort in enumerate(sorts):
        yield sort(drawn, of, products, number)


def reads(drawn: Random, of: dict[str, Rows], products: list[str], number: int) -> Request:
    """What REST answers, and now and then something narrower."""
    narrower = (
        f"/v1/availability?weeks={drawn.randint(1, 30)}&product={drawn.choice(products)}",
        f"/v1/match?from=2027-07-{drawn.randint(1, 28):02}",
        f"/v1/shortfalls?confidence=0.{drawn.randint(50, 95)}",
        f"/v1/outlook?confidence=0.{drawn.randint(50, 95)}",
        "/v1/walk",
        "/v1/quotes",
    )
    return "GET", drawn.choice((*REST, *narrower)), None


def pages(drawn: Random, of: dict[str, Rows], products: list[str], number: int) -> Request:
    """A page."""
    return "GET", drawn.choice(PAGES), None


def what_ifs(drawn: Random, of: dict[str, Rows], products: list[str], number: int) -> Request:
    """Orders, batches, the season."""
    batch = drawn.choice([row for row in of["batches"] if row["sow_date"] and row["sown"]])
    line = drawn.choice(of["standing-lines"])
    more = {name: batch[name] for name in ("variety", "sow_date", "method")}
    wedding = drawn.choice([row for row in of["orders"] if row["kind"] == "wedding" and row["status"] == "contracted"])
    changes: tuple[dict[str, Any], ...] = (
        {"pause": drawn.choice(of["standing-orders"])["key"]},
        {"collection": "standing_lines", "key": line["key"], "values": {"stems": line["stems"] + drawn.randint(1, 9)}},
        {"move": wedding["key"], "to": later(wedding["due_date"], drawn.choice((-1, 1, 2)))},
        {"collection": "batches", "values": {**more, "sown": drawn.randint(20, 200)}},
        {"collection": "batches", "key": batch["key"], "values": {"plants": drawn.randint(20, 90)}},
        {"frost_weeks_earlier": drawn.choice((1, 2, 3, 4, -1, -2))},
    )
    return "POST", "/v1/what-if", {"changes": [drawn.choice(changes)]}


def spots(drawn: Random, of: dict[str, Rows], products: list[str], number: int) -> Request:
    """May a number be promised."""
    body = {"product": drawn.choice(products), "due": later("2027-06-01", drawn.randint(0, 14))}
    return "POST", "/v1/may-promise", body


def writes(drawn: Random, of: dict[str, Rows], products: list[str], number: int) -> Request:
    """A quote, a batch, a row changed."""
    day = later("2027-07-03", drawn.randint(0, 9))
    line = drawn.choice(of["standing-lines"])
    choices: tuple[Request, ...] = (
        ("POST", "/v1/quotes", {"date": day, "pieces": [{"piece": "bouquet", "count": drawn.randint(1, 3)}]}),
        ("POST", "/v1/batches", {"variety": drawn.choice(products), "sow_date": "2027-04-20", "sown": 40}),
        ("PATCH", f"/v1/standing-lines/{line['key']}", {"stems": max(1, line["stems"] - drawn.randint(0, 2))}),
        ("PATCH", f"/v1/varieties/{drawn.choice(products)}", {"price_minor": drawn.randint(300, 600)}),
    )
    return drawn.choice(choices)


def later(day: str, weeks: int) -> str:
    """A day so many weeks later."""
    return (date.fromisoformat(day) + timedelta(weeks=weeks)).isoformat()


def rows(client: httpx.Client, collection: str) -> Rows:
    """The rows of a collection."""
    found: Rows = answered(client, ("GET", f"/v1/{collection}?limit=1000", None))["rows"]
    return found


def sizes(client: httpx.Client) -> dict[str, int]:
    """How many rows there are of what the requests add."""
    return {name: len(rows(client, name)) for name in ("batches", "orders", "order-lines")}


def answered(client: httpx.Client, request: Request) -> Any:
    """One answer; what would break a promise may be refused."""
    method, path, body = request
    answer = client.request(method, path, json=body)
    assert answer.is_success or answer.status_code == 409, (request, answer.text)
    return answer.json() if "json" in answer.headers["content-type"] else None


def said(step: str, pid: int, seconds: float) -> None:
    """Print what a process holds in memory now [MB]."""
    resident = int(subprocess.run(["ps", "-o", "rss=", "-p", str(pid)], capture_output=True, check=True).stdout)
    print(f"{step:44} {resident * 1024 / 1e6:5.0f} MB {seconds:8.1f}", flush=True)


def client_of(port: int) -> httpx.Client:
    """A client of the service on a port."""
    return httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=120)


if __name__ == "__main__":
    sys.exit(main())
