"""Holds a second on the demo farm, beside the bare commit rate of the ORM. Nothing passes or fails: read the table.

    python tests/benchmarks/holds.py [postgresql://...]

Each hold is a POST over HTTP to a service in a thread of this process: judged by the match over all seasons, written to
both books and the journal, committed, answered. The peer writes one row a transaction through the ORM of the same
libraries, in the same engine and the same run. Aim: 20 holds a second.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import date
from importlib import resources
from pathlib import Path
from statistics import median

import httpx
from sqlmodel import Field, Session, SQLModel

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import import_farm
from haulm.opening import utc_now
from haulm.planning.planner import Planner
from haulm.rest.app import create_app
from haulm.store.engine import database_engine, database_url
from haulm.store.store import Store
from support.live_service import live_service

TODAY = date(2027, 3, 15)
HOLDS = 120
COMMITS = 400
ONE = {"date": "2027-08-14", "kind": "one_off", "lines": [{"product": "snapdragon_white", "stems": 1}]}


class Bare(SQLModel, table=True):
    """The peer's only table."""

    __tablename__ = "bare_commits"

    id: int | None = Field(default=None, primary_key=True)
    stems: int


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as place:
        url = sys.argv[1] if len(sys.argv) > 1 else f"sqlite:///{Path(place) / 'farm.db'}"
        commits = bare_commits(url)
        print(f"bare ORM, one row a commit      {len(commits) / sum(commits):8.1f} a second   {spread(commits)}")
        with demo_service(url) as address:
            for clients in (1, 4, 16):
                times, wall = holds(address, clients)
                rate = len(times) / wall
                beside = f"{rate * sum(commits) / len(commits):.3f} of the peer   aim 20"
                print(f"holds, {clients:2} clients at once        {rate:8.1f} a second   {spread(times)}   {beside}")


def holds(address: str, clients: int) -> tuple[list[float], float]:
    """The time of each hold, and of all together, quotes made before [s]."""
    with httpx.Client(base_url=address, timeout=120) as client:
        quotes = [client.post("/v1/quotes", json=ONE).raise_for_status().json()["id"] for _ in range(HOLDS)]
    start = time.perf_counter()
    with ThreadPoolExecutor(clients) as pool:
        times = list(pool.map(lambda quote: hold(address, quote), quotes))
    return times, time.perf_counter() - start


def hold(address: str, quote: str) -> float:
    """One hold over a connection of its own [s]."""
    start = time.perf_counter()
    with httpx.Client(base_url=address, timeout=120) as client:
        answer = client.post(
            f"/v1/quotes/{quote}/hold", json={"until": "2027-08-01"}, headers={"Idempotency-Key": quote}
        )
    assert answer.status_code == 200, answer.text
    return time.perf_counter() - start


def bare_commits(url: str) -> list[float]:
    """The time of each of many transactions of one row through the ORM [s]."""
    engine = database_engine(database_url(url))
    Bare.__table__.create(engine, checkfirst=True)  # type: ignore[attr-defined]
    times = []
    for number in range(COMMITS):
        start = time.perf_counter()
        with Session(engine) as session:
            session.add(Bare(stems=number))
            session.commit()
        times.append(time.perf_counter() - start)
    Bare.__table__.drop(engine)  # type: ignore[attr-defined]
    engine.dispose()
    return times


def spread(times: list[float]) -> str:
    """Median and 99th percentile [ms]."""
    ordered = sorted(times)
    return f"median {median(ordered) * 1000:6.1f} ms   p99 {ordered[int(len(ordered) * 0.99)] * 1000:6.1f} ms"


@contextmanager
def demo_service(url: str) -> Iterator[str]:
    """The demo farm served, its plan made."""
    store = Store.open(url)
    store.migrate()
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        import_farm(store, folder, replace=False, actor="benchmark", now=utc_now())
    desk = Desk(store, Planner(), lambda: TODAY, utc_now)
    desk.plan()
    with live_service(create_app(desk)) as address:
        yield address
    store.close()


if __name__ == "__main__":
    main()
