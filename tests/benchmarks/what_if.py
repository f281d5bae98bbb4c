"""What-ifs on the demo farm through REST, per second. Nothing passes or fails here: read the table.

    python tests/benchmarks/what_if.py

The service runs in a thread of this process and is asked over HTTP, warm, one question after the other. The match is
compiled where the extra `fast` is installed, which is aimed at four times as many. Each question differs from the one
before, so that none can be answered from memory. The last column is the share of the time in which the same farm is
planned from nothing in the same run: it says more than seconds where others use the machine.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from importlib import resources
from itertools import cycle
from pathlib import Path
from statistics import fmean, median
from typing import Any

import httpx

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import import_farm
from haulm.matching.one_pass.compiler import IS_COMPILED
from haulm.planning.planner import Planner
from haulm.rest.app import create_app
from haulm.serving import collect_less_often
from haulm.store.store import Store
from support.live_service import live_service

TODAY = date(2027, 3, 15)
ROUNDS = 24
Change = dict[str, Any]


@dataclass(frozen=True)
class Row:
    """One line of the table: what was supposed, the median time, how many a second are aimed at by numpy only."""

    what: str
    seconds: float
    aim: float

    def beside(self, full: float) -> str:
        """The line, beside the time of a whole plan [s]."""
        a_second = (
            f"{self.seconds:8.3f} s {1 / self.seconds:8.1f} a second   aim {self.aim * (4 if IS_COMPILED else 1):g}"
        )
        return f"{self.what:34} {a_second:36} {self.seconds / full:6.2f} of a plan"


def main() -> None:
    """Print the table."""
    with demo_service() as (client, desk):
        farm = desk.store.farm()
        client.get("/v1/outlook").raise_for_status()
        full = timed(lambda: Planner().plan(farm, TODAY).gaps(0.8), rounds=3)
        print("the match is compiled" if IS_COMPILED else "the match runs on numpy only")
        for row in rows(client, farm):
            print(row.beside(full))
        print(f"{'the farm planned from nothing':34} {full:8.3f} s")


def rows(client: httpx.Client, farm: Farm) -> Iterator[Row]:
    """Orders, batches, the season; and the same machinery asked what may be promised."""
    orders = [
        Row("a standing order pauses", asked(client, pauses(farm)), 5),
        Row("a standing line asks more", asked(client, larger_lines(farm)), 5),
        Row("a wedding moves", asked(client, moved_weddings(farm)), 5),
    ]
    yield from orders
    yield Row("an order: the mean of the three", fmean(row.seconds for row in orders), 5)
    yield Row("a batch more", asked(client, more_batches(farm)), 1.25)
    yield Row("a batch's plants counted", asked(client, counted_batches(farm)), 1.25)
    yield Row("the frost earlier, season-wide", asked(client, frosts()), 0.25)
    products = cycle([variety.key for variety in farm.varieties])
    spot = timed(lambda: ask(client, "/v1/may-promise", {"product": next(products), "due": "2027-07-20"}))
    yield Row("may promise, a one-off", spot, 1)


def asked(client: httpx.Client, changes: Iterator[Change]) -> float:
    """The median time of one what-if [s]."""
    return timed(lambda: ask(client, "/v1/what-if", {"changes": [next(changes)]}))


def ask(client: httpx.Client, path: str, body: dict[str, Any]) -> None:
    """One question, answered."""
    client.post(path, json=body).raise_for_status()


def pauses(farm: Farm) -> Iterator[Change]:
    """One standing order after the other."""
    return ({"pause": order.key} for order in cycle(farm.standing_orders))


def larger_lines(farm: Farm) -> Iterator[Change]:
    """One standing line after the other asks for five stems more."""
    for line in cycle(farm.standing_lines):
        yield {"collection": "standing_lines", "key": line.key, "values": {"stems": line.stems + 5}}


def moved_weddings(farm: Farm) -> Iterator[Change]:
    """One wedding after the other, a week later."""
    weddings = [order for order in farm.orders if order.kind == "wedding" and order.status == "contracted"]
    for order in cycle(weddings):
        yield {"move": order.key, "to": order.due_date.fromordinal(order.due_date.toordinal() + 7).isoformat()}


def more_batches(farm: Farm) -> Iterator[Change]:
    """One batch after the other sown once more."""
    for batch in cycle(batch for batch in farm.batches if batch.sow_date and batch.sow_date >= TODAY):
        values = {"variety": batch.variety, "sow_date": str(batch.sow_date), "method": str(batch.method), "sown": 100}
        yield {"collection": "batches", "values": values}


def counted_batches(farm: Farm) -> Iterator[Change]:
    """One batch after the other has other plants than planned."""
    for batch in cycle(farm.batches):
        if batch.plants is not None and batch.sow_date is not None:
            yield {"collection": "batches", "key": batch.key, "values": {"plants": batch.plants * 4 // 5}}


def frosts() -> Iterator[Change]:
    """From four weeks earlier to two weeks later."""
    return ({"frost_weeks_earlier": weeks} for weeks in cycle((1, 2, 3, 4, -1, -2)))


def timed(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The median time of a few rounds by the clock, after one that warms up, service and client together [s]."""
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


@contextmanager
def demo_service() -> Iterator[tuple[httpx.Client, Desk]]:
    """A client of a live service over the demo farm, and the desk behind it."""
    collect_less_often()
    with tempfile.TemporaryDirectory() as place:
        store = Store.open(f"sqlite:///{Path(place) / 'farm.db'}")
        store.migrate()
        with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
            import_farm(store, folder, replace=False, actor="benchmark", now=datetime.now(UTC))
        desk = Desk(store, Planner(), lambda: TODAY, lambda: datetime.now(UTC))
        with live_service(create_app(desk)) as address, httpx.Client(base_url=address, timeout=60) as client:
            yield client, desk
        store.close()


if __name__ == "__main__":
    main()
