"""One season of a match without substitutes as a problem for general solvers: an edge per line and lot it may take.

Lines in a strict order are served best by a greedy pass, whatever falling worth the lines are given (a transversal
matroid), so the match's own value must be the solvers' best.
"""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import maximum_flow

from haulm.matching.allocation.result import MatchResult

IndexArray = npt.NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Edges:
    """Which line may take which lot, and what there is.

    Attributes:
        line, lot: line and lot of each edge, shape (edges,).
        wanted: stems of each line, shape (lines,).
        stems: stems of each lot, shape (lots,).
        pool: pool of each lot, shape (lots,).
    """

    line: IndexArray
    lot: IndexArray
    wanted: IndexArray
    stems: IndexArray
    pool: IndexArray

    @property
    def worth(self) -> IndexArray:
        """What a stem is worth to each line: less the later it stands in the order, shape (lines,)."""
        return np.arange(len(self.wanted), 0, -1, dtype=np.intp)


def edges_of(result: MatchResult, season: int = 0) -> Edges:
    """The edges of one season; lots without a stem are left out.

    Args:
        result: a match of lines without substitutes.
        season: which season.
    """
    stems = [np.array(pool.season(season), np.intp) for pool in result.supply.pools]
    first = np.cumsum([0, *(len(found) for found in stems)])
    lines, lots = [], []
    for place, line in enumerate(result.lines):
        wish = result.candidates.of(line)
        for pool in wish.pools:
            found = np.flatnonzero(result.candidates.acceptance.mask(pool, wish.window) & (stems[pool] > 0))
            lots.append(first[pool] + found)
            lines.append(np.full(len(found), place, np.intp))
    pools = np.concatenate([np.full(len(found), pool, np.intp) for pool, found in enumerate(stems)])
    wanted = np.array([line.stems for line in result.lines], np.intp)
    return Edges(np.concatenate(lines), np.concatenate(lots), wanted, np.concatenate(stems), pools)


def highs_weighted(edges: Edges) -> int:
    """The greatest worth of all stems given, by a linear program (HiGHS)."""
    count = len(edges.line)
    rows = np.concatenate([edges.line, len(edges.wanted) + edges.lot])
    table = coo_array((np.ones(2 * count), (rows, np.tile(np.arange(count), 2)))).tocsr()
    limits = np.concatenate([edges.wanted, edges.stems])[: table.shape[0]].astype(float)
    found = linprog(-edges.worth[edges.line].astype(float), A_ub=table, b_ub=limits, method="highs")
    assert found.status == 0, found.message
    return round(-found.fun)


def scipy_flow(edges: Edges) -> int:
    """The most stems that can be given at all, by maximum flow (Dinic, SciPy)."""
    heads, tails, amounts = _network(edges)
    size = len(edges.wanted) + len(edges.stems) + 2
    graph = csr_array((amounts.astype(np.int32), (tails, heads)), shape=(size, size), dtype=np.int32)
    return int(maximum_flow(graph, size - 2, size - 1).flow_value)


def networkx_flow(edges: Edges) -> int:
    """The same by NetworkX, in plain Python."""
    heads, tails, amounts = _network(edges)
    graph = nx.DiGraph()
    graph.add_weighted_edges_from(zip(tails.tolist(), heads.tolist(), amounts.tolist(), strict=True), weight="capacity")
    size = len(edges.wanted) + len(edges.stems) + 2
    return int(nx.maximum_flow_value(graph, size - 2, size - 1))


def _network(edges: Edges) -> tuple[IndexArray, IndexArray, IndexArray]:
    """Heads, tails and capacities: source to lines, lines to lots, lots to sink; source and sink are the last two."""
    lines, lots = len(edges.wanted), len(edges.stems)
    source, sink = lines + lots, lines + lots + 1
    tails = np.concatenate([np.full(lines, source), edges.line, lines + np.arange(lots)])
    heads = np.concatenate([np.arange(lines), lines + edges.lot, np.full(lots, sink)])
    return heads, tails, np.concatenate([edges.wanted, edges.wanted[edges.line], edges.stems])


def given_worth(result: MatchResult, edges: Edges, season: int = 0) -> int:
    """The worth of what the match itself gives in one season."""
    return int(result.filled_all()[:, season] @ edges.worth)


def given_stems(result: MatchResult, season: int = 0) -> int:
    """The stems that the match itself gives in one season."""
    return int(result.filled_all()[:, season].sum())
