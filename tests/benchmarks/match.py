"""The match beside general solvers: our time, theirs on the same instance, and equal answers. Read ratios, not seconds.

    python tests/benchmarks/match.py

One season without substitutes is a problem that general solvers can state: the worth of all stems given, and their
number. Both must equal ours, or this stops. Their time is that of the solver's call; building its tables is not
counted. Over a thousand seasons theirs is three seasons measured, times a thousand over three. All times are of the
processor; of a change, it is what follows once the farm was matched and another change tried.
OR-tools is looked at only where it is installed: pip install -e '.[bench]'.
"""

from __future__ import annotations

import importlib
import importlib.util
import math
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from importlib import resources
from pathlib import Path
from statistics import median
from typing import TypeVar

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm_folder.reader import read_folder
from haulm.matching.allocation.match import match, rematch
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.free_to_promise import free_tables
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.general_solvers import (
    Edges,
    edges_of,
    given_stems,
    given_worth,
    highs_weighted,
    networkx_flow,
    scipy_flow,
)
from support.synthetic_match import FULL, SLOPE, SMALL, Instance, instance

TODAY = date(2027, 3, 15)
LEVEL = 0.8
SEASONS = 1000
SEASONS_MEASURED = 3
NETWORKX_MOST_EDGES = 20_000

T = TypeVar("T")


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    seconds: float
    aim: str = ""
    peer: str = ""
    peer_seconds: float = math.nan

    def __str__(self) -> str:
        ours = f"{self.what:52} {self.seconds * 1000:10.1f} ms"
        if not self.peer:
            return f"{ours}   {'':38} {'':14} {'':8}   {self.aim}"
        ratio = self.peer_seconds / self.seconds
        return f"{ours}   {self.peer:38} {self.peer_seconds * 1000:11.1f} ms {ratio:8.1f}   {self.aim}"


def main() -> None:
    """Print the tables."""
    print(f"{'ours':52} {'':>13}   {'the same by':38} {'':>14} {'ratio':>8}   aim, numpy only")
    for rows in (small_rows(), demo_rows(), full_rows(), seasons_rows(), slope_rows(), options_rows()):
        for row in rows:
            print(row, flush=True)
    if importlib.util.find_spec("ortools") is None:
        print("OR-tools is not installed, so it was not looked at: pip install -e '.[bench]'")


def small_rows() -> Iterator[Row]:
    """A small farm, one season."""
    yield from _one_season("small, 300 lines", instance(SMALL))


def demo_rows() -> Iterator[Row]:
    """The demo farm's field in the expected season, its lines without substitutes and choices."""
    plan = demo_plan()
    result = plan.expected.result
    lines = tuple(replace(line, substitutes=(), minimum=0) for line in result.lines if line.product is not None)
    yield from _one_season(f"demo, {len(lines)} lines", Instance(lines, result.supply, result.keeping))


def full_rows() -> Iterator[Row]:
    """A full farm, one season: without and with substitutes, one order changed."""
    yield from _one_season("full, 15,000 lines", instance(FULL))
    made = instance(FULL, substitutes=True)
    result, seconds = timed(lambda: match(made.lines, made.supply, made.keeping))
    yield Row("full, with substitutes", seconds, "20 ms")
    yield Row("full, one order changed", timed(lambda: changed(result))[1], "2 ms")


def seasons_rows() -> Iterator[Row]:
    """A thousand seasons: the whole match, free to promise, one order changed."""
    plain = instance(FULL, seasons=SEASONS)
    result, seconds = timed(lambda: match(plain.lines, plain.supply, plain.keeping), rounds=1)
    for name, solve in _solvers(edges_of(result)):
        peer = sum(_peer_season(result, season, solve) for season in range(SEASONS_MEASURED))
        yield Row("full x 1,000 seasons", seconds, "", f"{name} x 1,000", peer * SEASONS / SEASONS_MEASURED)
    made = instance(FULL, seasons=SEASONS, substitutes=True)
    result, seconds = timed(lambda: match(made.lines, made.supply, made.keeping), rounds=1)
    yield Row("full x 1,000 seasons, with substitutes", seconds, "1500 ms")
    products = sorted(made.supply.by_product)
    dues = [date(2027, 5, 18) + timedelta(weeks=week) for week in range(52)]
    _, seconds = timed(lambda: free_tables(result, products, dues, (0.8, 0.9)), rounds=1)
    yield Row("free to promise, 150 x 52 at 80 % and at 90 %", seconds, "500 ms")
    yield Row("full x 1,000 seasons, one order changed", timed(lambda: changed(result))[1], "50 ms")


def slope_rows() -> Iterator[Row]:
    """How the time grows with the lines, products and batches together: the slope of its logarithm."""
    for seasons, said in ((1, "one season"), (200, "200 seasons")):
        points = []
        for size in SLOPE:
            made = instance(size, seasons=seasons, substitutes=True)
            seconds = timed(lambda made=made: match(made.lines, made.supply, made.keeping))[1]
            points.append((math.log(size.lines), math.log(seconds)))
            yield Row(f"slope, {said}: {size.lines} lines", seconds)
        (x0, y0), (x1, y1) = points[0], points[-1]
        print(f"slope, {said}: {(y1 - y0) / (x1 - x0):.2f} (aim: at most 1.1)")


def options_rows() -> Iterator[Row]:
    """The options of each gap of the demo farm, proofs included."""
    plan = demo_plan()
    seconds = [timed(lambda gap=gap: remedies(_fresh(plan), gap), rounds=1)[1] for gap in plan.gaps(LEVEL)]
    yield Row("options of one gap, proofs included, the median", median(seconds), "1000 ms")
    yield Row("options of one gap, proofs included, the slowest", max(seconds), "2000 ms")


def demo_plan() -> Plan:
    """The plan of the demo farm."""
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        return Planner().plan(read_folder(folder), TODAY)


def changed(result: MatchResult) -> MatchResult:
    """The match once the line in the middle of the order asks for more."""
    middle = len(result.lines) // 2
    more = replace(result.lines[middle], stems=result.lines[middle].stems + 5)
    return rematch(result, (*result.lines[:middle], more, *result.lines[middle + 1 :]), result.supply)


def timed(work: Callable[[], T], rounds: int = 5) -> tuple[T, float]:
    """The answer, and the least processor time of a few rounds [s]."""
    least = math.inf
    for _ in range(rounds):
        start = time.process_time()
        found = work()
        least = min(least, time.process_time() - start)
    return found, least


def _one_season(what: str, made: Instance) -> Iterator[Row]:
    """Our match of one season beside every solver, their values equal to ours."""
    result, seconds = timed(lambda: match(made.lines, made.supply, made.keeping))
    for name, solve in _solvers(edges_of(result)):
        yield Row(what, seconds, "", name, _peer_season(result, 0, solve))


def _peer_season(result: MatchResult, season: int, solve: Callable[[Edges], tuple[str, int]]) -> float:
    """A solver's time for one season; its value must be ours."""
    edges = edges_of(result, season)
    (kind, value), seconds = timed(lambda: solve(edges), rounds=1)
    ours = given_worth(result, edges, season) if kind == "worth" else given_stems(result, season)
    assert value == ours, f"{kind}: {value} by the solver, {ours} by the match"
    return seconds


def _solvers(edges: Edges) -> Iterator[tuple[str, Callable[[Edges], tuple[str, int]]]]:
    """The solvers that are there, what they are called and whether they find the worth or the number of stems."""
    yield "HiGHS, one weighted linear program", lambda found: ("worth", highs_weighted(found))
    yield "SciPy, maximum flow", lambda found: ("stems", scipy_flow(found))
    if len(edges.line) <= NETWORKX_MOST_EDGES:
        yield "NetworkX, maximum flow", lambda found: ("stems", networkx_flow(found))
    if importlib.util.find_spec("ortools") is not None:
        yield "OR-tools, minimum-cost flow", lambda found: ("worth", _ortools_worth(found))


def _ortools_worth(edges: Edges) -> int:
    """The greatest worth by a minimum-cost flow: unfilled stems cost what they would be worth."""
    module = importlib.import_module("ortools.graph.python.min_cost_flow")
    flow = module.SimpleMinCostFlow()
    lines, lots = len(edges.wanted), len(edges.stems)
    sink = lines + lots
    for line, lot in zip(edges.line.tolist(), edges.lot.tolist(), strict=True):
        flow.add_arc_with_capacity_and_unit_cost(line, lines + lot, int(edges.wanted[line]), 0)
    for line, (wanted, worth) in enumerate(zip(edges.wanted.tolist(), edges.worth.tolist(), strict=True)):
        flow.add_arc_with_capacity_and_unit_cost(line, sink, wanted, worth)
        flow.set_node_supply(line, wanted)
    for lot, stems in enumerate(edges.stems.tolist()):
        flow.add_arc_with_capacity_and_unit_cost(lines + lot, sink, stems, 0)
    flow.set_node_supply(sink, -int(edges.wanted.sum()))
    assert flow.solve() == flow.OPTIMAL, "the solver found an answer"
    return int((edges.wanted * edges.worth).sum()) - int(flow.optimal_cost())


def _fresh(plan: Plan) -> Plan:
    """The plan with nothing remembered of earlier questions."""
    return Plan(plan.farm, plan.today, plan.growth, plan.result, plan.settled)


if __name__ == "__main__":
    main()
