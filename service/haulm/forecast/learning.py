"""Learning from finished seasons: a farm's own figure, the library's shrunk towards what the farm has observed.

Numbers in, a number out, with what it was made of; nothing is written anywhere. Ten batches of one good year are one
year, so seasons are weighed, not batches. Stems cut with nothing said of what was left are a lower bound, so a glut
that was never cut teaches no low yield.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log, sqrt

import numpy as np
import numpy.typing as npt

from haulm.forecast.normal_scores import share_below
from haulm.horticulture.time_to_flower import PACE_SHARED, PACE_SPREAD

_Z90 = 1.2815515655446004
_GRID = np.linspace(-6, 6, 2401)
_LEAST_SHARE = 0.02
LEAST_FIGURE = 0.05
"""A farm may write 0 weeks or stems, of which there is no logarithm: to a tenth, 0 is anything below this."""


class Figure(StrEnum):
    """What is learnt: weeks from sowing to flower, stems per plant, the share of places that come up."""

    WEEKS = "weeks_to_flower"
    STEMS = "stems_per_plant"
    GERMINATION = "germination_pct"


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations on the log scale (germination: of the log odds).

    Attributes:
        first: of the true figure around the library's.
        season: between seasons of one farm.
        own: between batches of one season.
    """

    first: float
    season: float
    own: float

    def __post_init__(self) -> None:
        assert self.first > 0, "the true figure may differ from the library's: its variance is divided by"

    @property
    def one_batch(self) -> float:
        """Variance of one batch around the farm's figure."""
        return self.season**2 + self.own**2


SPREADS: dict[Figure, Spread] = {
    Figure.WEEKS: Spread(0.10, PACE_SPREAD * sqrt(PACE_SHARED), PACE_SPREAD * sqrt(1 - PACE_SHARED)),
    Figure.STEMS: Spread(0.25, 0.18, 0.24),
    Figure.GERMINATION: Spread(0.50, 0.25, 0.40),
}
"""Weeks: the pace's spread, split as in the forecast. Stems: yield cv 0.30, split as in the forecast. Germination: from
memory."""

PACKET_SPREAD = 0.50
"""Of stems per plant where a packet or a book says them: growers in published trials differ three- and fourfold."""


@dataclass(frozen=True, slots=True)
class Prior:
    """A figure before any season of the farm, and how far the truth may lie from it (0: as in SPREADS)."""

    figure: Figure
    value: float
    first: float = 0.0

    @property
    def spread(self) -> Spread:
        """The spreads that hold for it."""
        usual = SPREADS[self.figure]
        return usual if self.first == 0 else Spread(self.first, usual.season, usual.own)


@dataclass(frozen=True, slots=True)
class SeasonSeen:
    """What one season showed of a figure.

    Attributes:
        season: its name, such as 2026.
        value: the mean over its batches, geometric for weeks and stems, in the unit of the figure.
        batches: how many batches it rests on.
        at_least: True where it is only a lower bound.
    """

    season: str
    value: float
    batches: int
    at_least: bool = False

    def __post_init__(self) -> None:
        assert self.batches > 0, "a season rests on a batch"


@dataclass(frozen=True, slots=True)
class Learned:
    """A figure after some seasons, with all it was made of; the grower may refuse it.

    Attributes:
        prior: before.
        seasons: the farm's own, as given.
        own: what the measured seasons alone say; None where there are none.
        value: the result, in the unit of the figure.
        low, high: four times in five the true figure lies between them.
        next_low, next_high: four times in five one batch of the next season does.
        weight: the share of the result that comes from the farm's own seasons.
    """

    prior: Prior
    seasons: tuple[SeasonSeen, ...]
    own: float | None
    value: float
    low: float
    high: float
    next_low: float
    next_high: float
    weight: float

    def __post_init__(self) -> None:
        assert 0 <= self.weight <= 1, "the farm's own seasons have a share in the result"

    @property
    def says_something(self) -> bool:
        """Whether any season moved it."""
        return bool(self.seasons)


def learned(prior: Prior, seasons: Sequence[SeasonSeen]) -> Learned:
    """The figure after some seasons: the prior, drawn towards what they showed.

    Args:
        prior: the figure before, with its spread.
        seasons: at most one for each season, in any order.

    Returns:
        The figure; without seasons the prior itself.

    Source: conjugate normal shrinkage on the log scale (log odds for a share): a season of n batches counts with
    variance season^2 + own^2 / n; a lower bound counts with the chance of a season above it (censored normal), the
    posterior matched by its mean and variance.
    """
    assert len({item.season for item in seasons}) == len(seasons), "a season is told once"
    spread = prior.spread
    # A figure is a mean, and a mean lies half the variance above the middle on this scale.
    lift = spread.one_batch / 2 if prior.figure is not Figure.GERMINATION else 0.0
    start = _scale(prior.figure, prior.value)
    measured = [item for item in seasons if not item.at_least]
    precisions = [1 / _variance(spread, item) for item in measured]
    seen = [_scale(prior.figure, item.value) + lift for item in measured]
    precision = 1 / spread.first**2 + sum(precisions)
    pulled = sum(p * x for p, x in zip(precisions, seen, strict=True))
    mean, variance = (start / spread.first**2 + pulled) / precision, 1 / precision
    for item in (item for item in seasons if item.at_least):
        mean, variance = _bounded(mean, variance, _scale(prior.figure, item.value) + lift, _variance(spread, item))
    sd, next_sd = sqrt(variance), sqrt(variance + spread.one_batch)
    own = _unscale(prior.figure, pulled / sum(precisions)) if measured else None
    value, low, high, next_low, next_high = (
        _unscale(prior.figure, x)
        for x in (mean, mean - _Z90 * sd, mean + _Z90 * sd, mean - lift - _Z90 * next_sd, mean - lift + _Z90 * next_sd)
    )
    weight = 1 - min(1.0, variance / spread.first**2)
    if not seasons:
        # As it was written: there and back through the logarithm it would differ by a hair.
        value = prior.value
    return Learned(prior, tuple(seasons), own, value, low, high, next_low, next_high, weight)


def _variance(spread: Spread, season: SeasonSeen) -> float:
    return spread.season**2 + spread.own**2 / season.batches


def _bounded(mean: float, variance: float, bound: float, noise: float) -> tuple[float, float]:
    """Mean and variance after learning that a season's figure, were it known, lies above a bound."""
    sd = sqrt(variance)
    places: npt.NDArray[np.float64] = mean + sd * _GRID
    weights = np.exp(-(_GRID**2) / 2) * share_below((places - bound) / sqrt(noise))
    total = float(weights.sum())
    if total <= 0:
        return bound, variance
    found = float((weights * places).sum()) / total
    return found, float((weights * (places - found) ** 2).sum()) / total


def _scale(figure: Figure, value: float) -> float:
    if figure is Figure.GERMINATION:
        share = min(1 - _LEAST_SHARE, max(_LEAST_SHARE, value / 100))
        return log(share / (1 - share))
    return log(max(value, LEAST_FIGURE))


def _unscale(figure: Figure, x: float) -> float:
    return 100 / (1 + exp(-x)) if figure is Figure.GERMINATION else exp(x)
