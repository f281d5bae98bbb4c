"""How sure a line, or an order, is: the weight of the seasons in which it is filled."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import BoolArray, FloatArray, IntArray


def confidence(result: MatchResult, line: int) -> float:
    """Weighted share of the seasons in which a line gets every stem it asks, 0 to 1.

    Args:
        result: a match.
        line: the line's place in the strict order.
    """
    return joint_confidence(result, (line,))


def joint_confidence(result: MatchResult, lines: Iterable[int]) -> float:
    """Weighted share of the seasons in which all these lines get every stem they ask, 0 to 1; 1 for no lines.

    Args:
        result: a match.
        lines: places in the strict order.
    """
    both: BoolArray = np.ones(result.supply.seasons, np.bool_)
    for line in lines:
        both &= full_seasons(result, line)
    return weight_of(both, result.supply.weights)


def weight_of(seasons: BoolArray, weights: FloatArray) -> float:
    """The weight of some seasons, 0 to 1; exactly 1 for all of them.

    Args:
        seasons: which seasons, shape (seasons,).
        weights: of all seasons, adding up to 1, shape (seasons,).
    """
    if seasons.all():
        return 1.0
    if _is_even(weights):
        return min(1.0, float(np.count_nonzero(seasons) * weights[0]))
    return float(min(1.0, weights[seasons.nonzero()[0]].sum()))


def weights_of(seasons: BoolArray, weights: FloatArray) -> FloatArray:
    """`weight_of` of every row; seasons of shape (rows, seasons), weights of shape (seasons,)."""
    if not _is_even(weights):
        return np.array([weight_of(row, weights) for row in seasons], np.float64)
    found: FloatArray = np.minimum(1.0, np.add.reduce(seasons, axis=1, dtype=np.int32) * weights[0])
    found[seasons.all(axis=1)] = 1.0
    return found


def mean_of(stems: IntArray, weights: FloatArray) -> float:
    """The weighted mean of stems over the seasons [stems].

    Where all seasons weigh alike it is a whole number times a weight: the same in whatever order stems are added up.

    Args:
        stems: whole stems, shape (seasons,).
        weights: of all seasons, adding up to 1, shape (seasons,).
    """
    return float(means_of(stems[np.newaxis], weights)[0])


def means_of(stems: IntArray, weights: FloatArray) -> FloatArray:
    """`mean_of` of every row; stems of shape (rows, seasons), weights of shape (seasons,)."""
    if _is_even(weights):
        return np.asarray(stems.sum(axis=1, dtype=np.int64) * weights[0])
    # Row by row: a product of them all rounds otherwise than that of one.
    return np.array([row @ weights for row in stems], np.float64)


def _is_even(weights: FloatArray) -> bool:
    """Whether all seasons weigh alike."""
    return bool(weights[0] == weights[-1] and (weights == weights[0]).all())


def full_seasons(result: MatchResult, line: int) -> BoolArray:
    """Whether a line gets every stem it asks in each season, booleans of shape (seasons,)."""
    return np.asarray(result.filled(line) == result.lines[line].stems)


def expected_missing(result: MatchResult, line: int) -> float:
    """Weighted mean of the stems a line lacks [stems].

    Args:
        result: a match.
        line: the line's place in the strict order.
    """
    return mean_of(result.lines[line].stems - result.filled(line), result.supply.weights)
