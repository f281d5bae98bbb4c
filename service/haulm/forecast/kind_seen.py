"""The evidence of all cultivars of a kind, combined: how far off its figures are, given a season.

Given a season, two batches depend on each other only through what is uncertain about their kind and variety. Both are
integrated out on grids, so a season's weight is its likelihood whatever the figures, and the figures are then drawn
from their posterior in that season.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, hypot

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt import FigureDoubt

FARTHEST_OFF = 3.0
KIND_NODES = 13
FEWEST_NODES = 7
MOST_NODES = 19

FloatArray = npt.NDArray[np.float64]
Grid = npt.NDArray[np.float32]

_SCORES = np.linspace(-FARTHEST_OFF, FARTHEST_OFF, KIND_NODES)
_PRIOR = np.exp(-(_SCORES**2) / 2) / np.exp(-(_SCORES**2) / 2).sum()
_LEAST = np.float32(1e-30)


@dataclass(frozen=True, eq=False)
class OfVariety:
    """The evidence of one variety.

    Attributes:
        variety: its key.
        doubt: of the figure.
        nodes: grid of how far off the figure may be, logarithms, shape (nodes,).
        logs: log-likelihood of each season at each node, shape (nodes, seasons).
        place: quantile at which each season draws the variety's figure, shares, shape (seasons,).
    """

    variety: str
    doubt: FigureDoubt
    nodes: FloatArray
    logs: Grid
    place: FloatArray

    def __post_init__(self) -> None:
        assert self.logs.shape == (len(self.nodes), len(self.place)), "a fit for each node and season"
        assert self.nodes[0] < self.nodes[-1], "nodes rise: what is not in doubt has none"


@dataclass(frozen=True, eq=False)
class OfKind:
    """The posterior of a kind's figure, season by season.

    Attributes:
        log_share: log-likelihood of each season, the figure integrated out, shape (seasons,).
        kind: the kind's normal scores, shape (seasons,).
        varieties: those of each variety with records, shape (seasons,).
        off: how far off each variety's figure then is without its shift, a row of its nodes, shape (seasons,).
    """

    log_share: FloatArray
    kind: FloatArray
    varieties: Mapping[str, FloatArray]
    off: Mapping[str, npt.NDArray[np.intp]]


def nodes_of(doubt: FigureDoubt, noise: float) -> FloatArray:
    """A grid of how far off a figure may be, from far too small to far too large.

    Args:
        doubt: of the figure.
        noise: the spread of one batch around it, on the same logarithm.

    Returns:
        Logarithms [of a factor] around 0, evenly spaced, shape (nodes,).

    Source: three spreads either way, no farther apart than the noise of a batch where nineteen nodes reach: the sum
    over even nodes is exact for normal shapes as wide as half the distance (trapezoidal rule).
    """
    whole = hypot(doubt.kind_sd, doubt.variety_sd)
    count = ceil(2 * FARTHEST_OFF * whole / noise) + 1
    return whole * np.linspace(-FARTHEST_OFF, FARTHEST_OFF, min(MOST_NODES, max(FEWEST_NODES, count)))


def kind_seen(varieties: Sequence[OfVariety], place: FloatArray) -> OfKind:
    """The likelihood of seasons given all records of a kind, and a draw of its figure from the posterior.

    Args:
        varieties: the evidence of each; at least one.
        place: quantile at which each season draws the kind's figure, shares, shape (seasons,).

    Returns:
        The kind's posterior, in each season.

    Source: Bayes' rule, the variety's part summed for each node of the kind's (Rao and Blackwell); drawn backwards,
    kind first, by the inverse of the running sum, each season keeping its quantile.
    """
    assert varieties, "a kind is known by some variety"
    total = np.log(_PRIOR)[:, None] + np.zeros(len(place))
    best = np.zeros(len(place))
    shares: list[Grid] = []
    for one in varieties:
        # Taken off before the exponential and put back after, so that the best fit neither over- nor underflows.
        highest = one.logs.max(axis=0)
        share = np.exp(one.logs - highest)
        total += np.log(np.maximum(_given_kind(one) @ share, _LEAST))
        best += highest
        shares.append(share)
    highest = total.max(axis=0)
    fit = np.exp(total - highest)
    log_share = best + highest + np.log(fit.sum(axis=0))
    kind = _drawn(fit, place, _SCORES)
    found: dict[str, FloatArray] = {}
    rows: dict[str, npt.NDArray[np.intp]] = {}
    for one, share in zip(varieties, shares, strict=True):
        at = _given_score(one, kind) * share
        off = _drawn(at, one.place, one.nodes)
        step = one.nodes[1] - one.nodes[0]
        rows[one.variety] = np.clip(np.rint((off - one.nodes[0]) / step), 0, len(one.nodes) - 1).astype(np.intp)
        apart = one.doubt.variety_sd
        found[one.variety] = (off - one.doubt.kind_sd * kind) / apart if apart > 0 else np.zeros(len(place))
    return OfKind(log_share, kind, found, rows)


def _given_kind(one: OfVariety) -> Grid:
    """Chances of each node of a variety for each of the kind, shape (kind's nodes, nodes)."""
    return np.asarray(_given_score(one, _SCORES).T, dtype=np.float32)


def _given_score(one: OfVariety, kind: FloatArray) -> Grid:
    """Chances of each node of a variety given the kind's scores, shape (nodes, scores), adding up to 1."""
    step = float(one.nodes[1] - one.nodes[0])
    nodes, scores = one.nodes.astype(np.float32), kind.astype(np.float32)
    # A variety that hardly differs from its kind would fall between two nodes and have no chance at either.
    apart = (nodes[:, None] - np.float32(one.doubt.kind_sd) * scores) / np.float32(max(one.doubt.variety_sd, step / 2))
    chance = np.exp(-(apart**2) / 2)
    return np.asarray(chance / np.maximum(chance.sum(axis=0), _LEAST), dtype=np.float32)


def _drawn(fit: npt.NDArray[np.floating], place: FloatArray, nodes: FloatArray) -> FloatArray:
    """What each season's place picks among even nodes by their chances, straight within a node's own stretch."""
    running = np.cumsum(fit, axis=0, dtype=np.float64)
    wanted = place * running[-1]
    row = np.minimum((running < wanted).sum(axis=0), len(nodes) - 1)
    seasons = np.arange(len(place))
    here = np.maximum(fit[row, seasons], _LEAST)
    within = 1 - np.clip((running[row, seasons] - wanted) / here, 0.0, 1.0)
    return np.asarray(nodes[row] + (within - 0.5) * (nodes[1] - nodes[0]), dtype=np.float64)
