"""What the doubt of a batch comes from: the shares of its variance that one thing or another explains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from haulm.forecast.seasons import Seasons

FloatArray = npt.NDArray[np.float64]
Outcome = tuple[FloatArray, npt.NDArray[np.bool_]]
"""A figure of each season, and the seasons in which there is one, each shape (seasons,)."""
Labels = npt.NDArray[np.intp]
"""The group that each season belongs to, counted from 0, shape (seasons,)."""

CLASSES = 20
"""Seasons are sorted into so many groups by a score."""


_MOST_CHANCE = 0.9
"""Where chance alone explains so much, groups are too small to tell anything."""


class Part(StrEnum):
    """What doubt comes from."""

    WEATHER = "weather"
    SEASON = "season"
    SOWING = "sowing"


@dataclass(frozen=True, slots=True)
class PartOfDoubt:
    """What part of the doubt comes from one thing: the shares of all of them add up to 1."""

    part: Part
    share: float


def parts_of_doubt(outcomes: Sequence[Outcome], seasons: Seasons, growing_year: int) -> tuple[PartOfDoubt, ...]:
    """What the doubt of a batch comes from, the largest part first.

    Args:
        outcomes: the figures that are in doubt; each counts the same.
        seasons: the shared part of every season.
        growing_year: the growing year of the span in which the batch flowers.

    Returns:
        The weather of the year, the pace and vigour that all batches of the year share, and what is left: the batch's
        own pace, germination and luck. Shares add up to 1; none where nothing is in doubt.

    Source: of each figure the share of its variance between groups of seasons that are alike in one thing, less what
    chance alone would give: epsilon squared, Kelley (1935), Proc. Natl. Acad. Sci. 21, 554-559. What two things do
    together only is left with the batch.
    """
    factors = {
        Part.WEATHER: [seasons.weather_row],
        Part.SEASON: [_classes(seasons.shared_pace(growing_year)), _classes(seasons.shared_vigour(growing_year))],
    }
    found = [_shares(values[there], seasons.weights[there], _only(factors, there)) for values, there in outcomes]
    told = [shares for shares in found if shares]
    if not told:
        return ()
    means = [PartOfDoubt(part, sum(shares[part] for shares in told) / len(told)) for part in Part]
    return tuple(sorted(means, key=lambda one: -one.share))


def _only(factors: dict[Part, list[Labels]], there: npt.NDArray[np.bool_]) -> dict[Part, list[Labels]]:
    return {part: [labels[there] for labels in several] for part, several in factors.items()}


def _shares(values: FloatArray, weights: FloatArray, factors: dict[Part, list[Labels]]) -> dict[Part, float]:
    """The shares of each part and of the rest; empty where the figure is the same in all seasons."""
    if not len(values) or np.ptp(values) == 0:
        return {}
    weight = weights / weights.sum()
    found = {part: sum(explained(values, weight, one) for one in several) for part, several in factors.items()}
    # Chance can make them add up to more than all there is.
    most = max(1.0, sum(found.values()))
    shares = {part: share / most for part, share in found.items()}
    return {**shares, Part.SOWING: max(0.0, 1 - sum(shares.values()))}


def explained(values: FloatArray, weights: FloatArray, labels: Labels) -> float:
    """The share of a figure's variance between groups, less what chance alone would give.

    Args:
        values: a figure of each season, not all the same, shape (seasons,).
        weights: of the seasons, summing to 1, shape (seasons,).
        labels: the group of each season, shape (seasons,).

    Returns:
        0 to 1.

    Source: epsilon squared, Kelley (1935), Proc. Natl. Acad. Sci. 21, 554-559; with weights, what chance alone gives is
    the sum over groups of squared weights by the group's weight, less that of all (variance of a weighted mean).
    """
    mass = np.bincount(labels, weights)
    here = mass > 0
    means = np.bincount(labels, weights * values)[here] / mass[here]
    mean = float(weights @ values)
    total = float(weights @ (values - mean) ** 2)
    squares = np.bincount(labels, weights**2)
    alone = float(squares.sum())
    chance = (float((squares[here] / mass[here]).sum()) - alone) / (1 - alone) if alone < 1 else 1.0
    if total <= 0 or chance > _MOST_CHANCE:
        return 0.0
    between = float(mass[here] @ (means - mean) ** 2) / total
    return min(1.0, max(0.0, (between - chance) / (1 - chance)))


def _classes(scores: FloatArray) -> Labels:
    """The group of each season by a score, in groups of the same size, shape (seasons,)."""
    rank = np.argsort(np.argsort(scores, kind="stable"), kind="stable")
    return np.asarray(rank * CLASSES // len(scores), dtype=np.intp)
