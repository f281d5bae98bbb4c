"""Where the uncertainty of some stems comes from: the shares of its variance that each cause explains."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from haulm.forecast.dead_lots import dead_seasons
from haulm.forecast.doubted import doubted_need, doubted_stems
from haulm.forecast.inputs import Sowing
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons

FloatArray = npt.NDArray[np.float64]
Outcome = tuple[FloatArray, npt.NDArray[np.bool_]]
"""A figure of each season, and the seasons in which there is one, each shape (seasons,)."""
Labels = npt.NDArray[np.intp]
"""The group that each season belongs to, counted from 0, shape (seasons,)."""
CLASSES = 20
"""Seasons are sorted into so many groups by a score."""


MOST_KINDS = 8
"""Of more kinds those after the eighth are not told apart: groups of seasons would be too small."""
_MOST_CHANCE = 0.9
"""Where chance alone would explain so much, the groups are too small to show anything."""


class Part(StrEnum):
    """What doubt comes from."""

    WEATHER = "weather"
    SEASON = "season"
    WEEKS = "weeks"
    STEMS = "stems"
    BAD_SEASONS = "bad_seasons"
    DEAD_LOTS = "dead_lots"
    SOWING = "sowing"


Factors = Mapping[Part, Sequence[Labels]]
"""By part of the doubt the groupings of seasons that it makes."""


@dataclass(frozen=True, slots=True)
class PartOfDoubt:
    """What part of the doubt comes from one thing: the shares of all of them add up to 1."""

    part: Part
    share: float


def parts_of_doubt(outcomes: Sequence[Outcome], weights: FloatArray, factors: Factors) -> tuple[PartOfDoubt, ...]:
    """What the doubt of some figures comes from, the largest part first.

    Args:
        outcomes: the figures that are in doubt; each counts the same.
        weights: of the seasons, summing to 1, shape (seasons,).
        factors: by part, the groups of seasons that are alike in it.

    Returns:
        The parts, and what is left: the sowings' own pace, germination and luck. Shares add up to 1; none where nothing
        is in doubt.

    Source: of each figure the share of its variance between groups of seasons that are alike in one thing, less what
    chance alone would give: epsilon squared, Kelley (1935), Proc. Natl. Acad. Sci. 21, 554-559. What two things do
    together only is left with the sowings.
    """
    found = [_shares(values[there], weights[there], _only(factors, there)) for values, there in outcomes]
    told = [shares for shares in found if shares]
    if not told:
        return ()
    means = [PartOfDoubt(part, sum(shares.get(part, 0.0) for shares in told) / len(told)) for part in Part]
    assert abs(sum(one.share for one in means) - 1) < 1e-6, "the parts of a doubt add up to 1"
    return tuple(sorted(means, key=lambda one: -one.share))


def factors_of(sowings: Sequence[Sowing], seasons: Seasons, growing_year: int) -> dict[Part, list[Labels]]:
    """The groups of seasons that are alike in one thing, for some batches.

    Args:
        sowings: the batches; their kinds count one by one, the first eight of them.
        seasons: the shared part of every season.
        growing_year: the growing year of the span in which the batches flower.

    Returns:
        The weather of the year; the pace and vigour that all batches of the year share; how far off the weeks and the
        stems of each kind are; whether the year is a bad one; whether a lot does not come up.

    Source: definition.
    """
    setting = seasons.setting
    kinds: dict[str, list[Sowing]] = {}
    for sowing in sowings:
        kinds.setdefault(sowing.kind_key, []).append(sowing)
    several = list(kinds.values())[:MOST_KINDS]
    dead = [_is_dead(mine, seasons) for mine in several]
    return {
        Part.WEATHER: [seasons.weather_row],
        Part.SEASON: [_classes(seasons.shared_pace(growing_year)), _classes(seasons.shared_vigour()[growing_year])],
        Part.WEEKS: [_classes(_mean(mine, doubted_need, seasons)) for mine in several],
        Part.STEMS: [_classes(_mean(mine, doubted_stems, seasons)) for mine in several],
        Part.BAD_SEASONS: [(seasons.u_bad[growing_year] < setting.bad_share).astype(np.intp)],
        Part.DEAD_LOTS: [labels for labels in dead if labels.any()],
    }


def _mean(
    sowings: Sequence[Sowing], off: Callable[[Sowing, Seasons], FloatArray | float], seasons: Seasons
) -> FloatArray:
    total = np.zeros(len(seasons.weather_row))
    for sowing in sowings:
        total += off(sowing, seasons)
    return total


def _is_dead(sowings: Sequence[Sowing], seasons: Seasons) -> Labels:
    """How many of some batches belong to a lot that does not come up, shape (seasons,)."""
    found = np.zeros(len(seasons.weather_row), dtype=np.intp)
    for sowing in sowings:
        for cycle in cycles(sowing, seasons):
            found[dead_seasons(sowing, cycle, seasons)] += 1
    return found


def _only(factors: Factors, there: npt.NDArray[np.bool_]) -> Factors:
    return {part: [labels[there] for labels in several] for part, several in factors.items()}


def _shares(values: FloatArray, weights: FloatArray, factors: Factors) -> dict[Part, float]:
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
