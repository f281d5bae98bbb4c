"""The benchmark: our times beside a peer's in the same run. Nothing passes or fails here; read ratios, not seconds.

    python tests/benchmarks/run.py

The demo farm is asked warm, with numpy only. Peers: for planning, a fresh write of the array [60, 2000, 365] float32
(what a forecast by days would have to write once) and one linear programme of one season by HiGHS; for the import, the
same lines read by csv and written by the bare database driver.
"""

from __future__ import annotations

import csv
import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path
from statistics import median

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm.edits import with_rows
from haulm.farm.snapshot import Farm
from haulm.farm_folder.reader import read_folder
from haulm.farm_folder.writer import write_folder
from haulm.jobs.farm.import_farm import import_farm
from haulm.matching.allocation.result import MatchResult
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from haulm.store.store import Store
from support.large_farm import large_farm

TODAY = date(2027, 3, 15)
LEVEL = 0.8


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    seconds: float
    peer: str
    peer_seconds: float
    aim: str

    def __str__(self) -> str:
        ratio = self.seconds / self.peer_seconds if self.peer_seconds else float("nan")
        ours = f"{self.what:44} {self.seconds:8.3f} s"
        return f"{ours}   {self.peer:34} {self.peer_seconds:8.3f} s {ratio:9.4f}   {self.aim}"


def main() -> None:
    """Print the table."""
    print(f"{'ours':44} {'':>10}   {'peer':34} {'':>10} {'ratio':>9}   aim")
    for row in (*planning_rows(), *import_rows()):
        print(row)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of this whole run: {peak:.0f} MB (aim: under 500 MB)")


def planning_rows() -> list[Row]:
    """From a changed plan to the shortfall list; the options of each gap."""
    farm = demo_farm()
    planner = Planner()
    plan = planner.plan(farm, TODAY)
    plan.gaps(LEVEL)
    write = timed(lambda: np.ones((60, 2000, 365), np.float32))
    programme = timed(lambda: one_season_programme(plan.expected.result), rounds=1)
    changes = iter(range(1, 100))
    batch = timed(lambda: changed_batch(planner, farm, next(changes)))
    order = timed(lambda: changed_order(planner, farm, 100 + next(changes)))
    plan = planner.plan(farm, TODAY)
    gaps = plan.gaps(LEVEL)
    options = [timed(lambda gap=gap: remedies(fresh(plan), gap), rounds=1) for gap in gaps]
    match_peer = programme * plan.result.supply.seasons
    return [
        Row("a batch changed, to the shortfall list", batch, "one fresh array [60, 2000, 365]", write, "under 1 s"),
        Row("an order changed, to the shortfall list", order, "HiGHS, one season times 2,000", match_peer, "under 1 s"),
        Row("options of one gap, the median", median(options), "HiGHS, one season", programme, "under 2 s"),
        Row("options of one gap, the slowest", max(options), "HiGHS, one season", programme, "under 2 s"),
    ]


def import_rows() -> list[Row]:
    """The import of a farm folder of 250 batches and 15,000 lines."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "large"
        write_folder(large_farm(), folder)
        lines = sum(path.read_bytes().count(b"\n") for path in folder.iterdir())
        seconds = timed(lambda: imported(folder, Path(place)), rounds=3)
        peer = timed(lambda: bare_rows(folder, Path(place)), rounds=3)
    return [Row(f"import of {lines} lines", seconds, "csv and sqlite3, no checks", peer, "under 10 s")]


def demo_farm() -> Farm:
    """The demo farm as a value."""
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        return read_folder(folder)


def fresh(plan: Plan) -> Plan:
    """The plan with nothing remembered of earlier questions."""
    return Plan(plan.farm, plan.today, plan.growth, plan.result, plan.settled)


def changed_batch(planner: Planner, farm: Farm, number: int) -> None:
    """One batch has more places; everything that follows from it."""
    last = farm.batches[-1]
    batch = replace(last, sown=(last.sown or 0) + number)
    planner.plan(replace(with_rows(farm, [batch]), version=number), TODAY).gaps(LEVEL)


def changed_order(planner: Planner, farm: Farm, number: int) -> None:
    """One standing line asks for more; everything that follows from it."""
    line = farm.standing_lines[-1]
    more = replace(line, stems=line.stems + number % 7 + 1)
    planner.plan(replace(with_rows(farm, [more]), version=number), TODAY).gaps(LEVEL)


def one_season_programme(result: MatchResult) -> None:
    """The stems of one season shared out by a general solver: one variable per line and lot, class totals at best."""
    rows: list[int] = []
    columns: list[int] = []
    offsets = [0]
    for pool in result.supply.pools:
        offsets.append(offsets[-1] + len(pool.lots))
    count = 0
    owners: list[int] = []
    for place, line in enumerate(result.lines):
        wish = result.candidates.of(line)
        for pool in wish.pools:
            mask = result.candidates.acceptance.mask(pool, wish.window)
            for lot in np.flatnonzero(mask):
                rows.append(offsets[pool] + int(lot))
                columns.append(count)
                owners.append(place)
                count += 1
    supply = [stems for pool in result.supply.pools for stems in pool.season(0)]
    lots = coo_matrix((np.ones(count), (rows, columns)), shape=(offsets[-1], count))
    lines = coo_matrix((np.ones(count), (owners, range(count))), shape=(len(result.lines), count))
    worth = -np.array([len(result.lines) - owner for owner in owners], float)
    wanted = [line.stems for line in result.lines]
    both = coo_matrix(
        (
            np.concatenate([lots.data, lines.data]),
            (np.concatenate([lots.row, lines.row + offsets[-1]]), np.concatenate([lots.col, lines.col])),
        )
    )
    found = linprog(worth, A_ub=both.tocsr(), b_ub=np.array([*supply, *wanted], float), method="highs")
    assert found.status == 0, found.message


def imported(folder: Path, place: Path) -> None:
    """A fresh database with the folder in it."""
    with tempfile.TemporaryDirectory(dir=place) as fresh_place:
        store = Store.open(f"sqlite:///{Path(fresh_place) / 'farm.db'}")
        store.migrate()
        import_farm(store, folder, replace=False, actor="benchmark", now=datetime.now(UTC))
        store.close()


def bare_rows(folder: Path, place: Path) -> None:
    """The same rows by the standard library alone."""
    with tempfile.TemporaryDirectory(dir=place) as fresh_place:
        database = sqlite3.connect(Path(fresh_place) / "bare.db")
        for path in folder.glob("*.csv"):
            with path.open(newline="", encoding="utf-8") as file:
                header, *rows = list(csv.reader(file))
            names = ", ".join(f'"{name}"' for name in header)
            database.execute(f'CREATE TABLE "{path.stem}" ({names})')
            marks = ", ".join("?" for _ in header)
            database.executemany(f'INSERT INTO "{path.stem}" VALUES ({marks})', rows)
        database.commit()
        database.close()


def timed(work: Callable[[], object], rounds: int = 5) -> float:
    """The median time of a few rounds, after one that warms up [s]."""
    if rounds > 1:
        work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


if __name__ == "__main__":
    main()
