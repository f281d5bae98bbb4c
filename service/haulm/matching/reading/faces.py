"""The faces of doubt: in how many seasons of ten something is filled, has a part, has none.

A mean says of 160 stems that 54 are missing; that all 160 come in six seasons, a part in two and none in two is what
whoever asked for them can plan with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulm.farm.quantities import HAIR, whole_down
from haulm.matching.supply import BoolArray, FloatArray, IntArray

TEN = 10
"""Weights are added up: 0.3 as 0.29999999999999999 is three of ten."""


@dataclass(frozen=True, slots=True)
class OfTen:
    """Seasons out of ten; they add up to ten."""

    all: int
    part: int
    none: int

    def __post_init__(self) -> None:
        assert self.all + self.part + self.none == 10, "ten seasons in all"


@dataclass(frozen=True, slots=True)
class Faces:
    """How seasons treat what is asked.

    Attributes:
        asked: stems asked.
        all, part, none: weights of the seasons in which every stem, some stems and no stem of it come, adding up to 1.
        usual_part: the middling number of stems where a part comes; 0 where it never does.
    """

    asked: int
    all: float
    part: float
    none: float
    usual_part: int

    def __post_init__(self) -> None:
        assert abs(self.all + self.part + self.none - 1) < 1e-6, "every season has one of three faces"

    @property
    def of_ten(self) -> OfTen:
        """The same in seasons out of ten, never surer than it is.

        Source: "all", and "all or a part", are each rounded down; what is left of the ten is "none".
        """
        whole, some = _tenths(self.all), _tenths(self.all + self.part)
        return OfTen(whole, some - whole, TEN - some)


def faces(filled: IntArray, full: BoolArray, asked: int, weights: FloatArray) -> Faces:
    """How seasons treat what one or several lines ask together.

    Args:
        filled: stems that come in each season, shape (seasons,).
        full: whether every one of the lines has all it asks, shape (seasons,).
        asked: stems asked of all lines, 1 or more.
        weights: of all seasons, adding up to 1, shape (seasons,).

    Source: definition; the usual part is the weighted median, rounded down.
    """
    none = filled == 0
    part = ~full & ~none
    return Faces(
        asked, _weight(full, weights), _weight(part, weights), _weight(none, weights), middling(filled, part, weights)
    )


def middling(values: IntArray, where: BoolArray, weights: FloatArray) -> int:
    """The least of some whole numbers that half the weight of their seasons does not pass; 0 where there is no season.

    Args:
        values: shape (seasons,).
        where: the seasons looked at, shape (seasons,).
        weights: of all seasons, shape (seasons,).
    """
    found, weight = values[where], weights[where]
    if not weight.sum() > 0:
        return 0
    order = np.argsort(found, kind="stable")
    reached = np.cumsum(weight[order])
    half = float(reached[-1]) / 2 - HAIR
    return int(found[order[int(np.searchsorted(reached, half))]])


def _weight(seasons: BoolArray, weights: FloatArray) -> float:
    return 1.0 if seasons.all() else float(min(1.0, weights[seasons].sum()))


def _tenths(share: float) -> int:
    return min(TEN, whole_down(share * TEN))
