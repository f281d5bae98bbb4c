"""What a farm's own years say of its figures: one joint estimate over all kinds, varieties and years.

Numbers in, numbers out. A year's weather and care lift or lower all kinds together, so the year is an unknown of its
own; were it not, one bad year would be learned as poor kinds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, sqrt

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.harvest_seen import YIELD_CV, YIELD_SHARED
from haulm.horticulture.time_to_flower import PACE_SHARED, PACE_SPREAD

FloatArray = npt.NDArray[np.float64]

_YIELD_VARIANCE = log(1 + YIELD_CV**2)
_SOWINGS = 2
"""Sowings that a season's total is the sum of: two or three of a kind are usual (common practice)."""
_COUNT_SD = 0.05
"""Of a season's stems and plants as a grower knows them (from memory)."""
_PICKING_SD = 0.03
"""Of a first cut: a field is cut twice a week, two days in some seventy (from memory)."""
_SPRING_SD = 0.07
"""Of a year's first cuts, shared by all kinds, where its own weather is not known: five days in seventy, as the
spread of flowering between years on one site (from memory)."""


@dataclass(frozen=True, slots=True)
class YearSeen:
    """What one year's harvest says of a figure.

    Attributes:
        year: the calendar year.
        varieties: whose mean it is: one variety, or all of a kind.
        log_ratio: logarithm of what was observed over the figure in use.
    """

    year: int
    varieties: tuple[str, ...]
    log_ratio: float

    def __post_init__(self) -> None:
        assert self.varieties, "a year is seen of something"


@dataclass(frozen=True, slots=True)
class Spreads:
    """How a figure varies around the truth, on its logarithm.

    Attributes:
        year_mean, year_sd: of what a year does to all kinds together.
        row_mean, row_sd: of one kind's season and its count.
        keeps_mean: whether a doubted figure keeps its mean, else its median.
    """

    year_mean: float
    year_sd: float
    row_mean: float
    row_sd: float
    keeps_mean: bool

    def __post_init__(self) -> None:
        assert self.row_sd > 0, "no row is exact: the matrix of rows could not be inverted"


def stems_spreads(bad_share: float, bad_factor: float) -> Spreads:
    """Of stems a plant over a season.

    Args:
        bad_share: share of years in which all kinds give less (0-1).
        bad_factor: what they give then, of what they would (0-1].

    Returns:
        A year: the bad ones by their mean and variance, and the share of the yield's spread that a season has in
        common. A row: the rest of that spread over two sowings, and the count.

    Source: moments of a two-point variable; yield cv as in the forecast.
    """
    fall, shared = log(bad_factor), YIELD_SHARED * _YIELD_VARIANCE
    own = (1 - YIELD_SHARED) * _YIELD_VARIANCE / _SOWINGS
    year = bad_share * (1 - bad_share) * fall**2 + shared
    return Spreads(bad_share * fall - shared / 2, sqrt(year), -own / 2, sqrt(own + _COUNT_SD**2), keeps_mean=True)


def need_spreads() -> Spreads:
    """Of what a first stem takes.

    Returns:
        A year: the pace that a season's batches have in common, and its weather. A row: the rest of the pace, and the
        days between cuts.

    Source: pace as in the forecast.
    """
    shared, own = PACE_SHARED * PACE_SPREAD**2, (1 - PACE_SHARED) * PACE_SPREAD**2
    return Spreads(0.0, sqrt(shared + _SPRING_SD**2), 0.0, sqrt(own + _PICKING_SD**2), keeps_mean=False)


def learned_doubt(
    before: Mapping[str, FigureDoubt], kinds: Mapping[str, str], seen: Sequence[YearSeen], spreads: Spreads
) -> dict[str, FigureDoubt]:
    """What is still not known of each variety's figure after some years.

    Args:
        before: the doubt of each variety before any year.
        kinds: the kind of each variety.
        seen: what was observed in past years, in any order.
        spreads: how a year and a row vary.

    Returns:
        By variety: where the figure's mean lies now and how far it may still be off, split into what its kind's
        varieties share and what is its own. Without years the very doubts given.

    Source: conjugate normal regression on the logarithm (a linear model with normal effects of kind, variety and year;
    Gelman et al., Bayesian Data Analysis, chapter 14).
    """
    if not seen:
        return dict(before)
    assert before.keys() <= kinds.keys(), "every variety is of a kind"
    assert all(name in before for row in seen for name in row.varieties), "years tell of varieties that are asked about"
    names = sorted(before)
    # In one order, so that the answer doesn't depend on the order in which years were entered.
    rows = sorted(seen, key=lambda row: (row.year, row.varieties, row.log_ratio))
    mean, spread = _prior(names, before, kinds, spreads)
    design, noise = _design(names, rows, spreads)
    expected = design @ mean + spreads.year_mean + spreads.row_mean
    short = np.array([row.log_ratio for row in rows]) - expected
    gain = np.linalg.solve(design @ spread @ design.T + noise, design @ spread).T
    mean, spread = mean + gain @ short, spread - gain @ design @ spread
    return {
        name: _doubt(at, name, (names, kinds, before), (mean, spread), spreads.keeps_mean)
        for at, name in enumerate(names)
    }


def _prior(
    names: Sequence[str], before: Mapping[str, FigureDoubt], kinds: Mapping[str, str], spreads: Spreads
) -> tuple[FloatArray, FloatArray]:
    """Mean and covariance of each variety's logarithm: kinds share theirs."""
    shared = np.array([before[name].kind_sd for name in names])
    own = np.array([before[name].variety_sd for name in names])
    same = np.array([[kinds[one] == kinds[other] for other in names] for one in names])
    spread = np.outer(shared, shared) * same + np.diag(own**2)
    mean = np.array([before[name].shift for name in names])
    return (mean - np.diag(spread) / 2 if spreads.keeps_mean else mean), spread


def _design(names: Sequence[str], rows: Sequence[YearSeen], spreads: Spreads) -> tuple[FloatArray, FloatArray]:
    """Which varieties a row is the mean of, and the covariance of rows around it: rows of a year share the year."""
    place = {name: at for at, name in enumerate(names)}
    design = np.zeros((len(rows), len(names)))
    for at, row in enumerate(rows):
        for name in row.varieties:
            design[at, place[name]] = 1 / len(row.varieties)
    years = np.array([row.year for row in rows])
    noise = spreads.year_sd**2 * (years[:, None] == years[None, :]) + spreads.row_sd**2 * np.eye(len(rows))
    return design, noise


def _doubt(
    at: int,
    name: str,
    told: tuple[Sequence[str], Mapping[str, str], Mapping[str, FigureDoubt]],
    left: tuple[FloatArray, FloatArray],
    keeps_mean: bool,
) -> FigureDoubt:
    """One variety's doubt: the part that moves with the others of its kind, and the rest."""
    (names, kinds, before), (mean, spread) = told, left
    # Rounding may leave a variance a hair below 0.
    whole = max(0.0, float(spread[at, at]))
    others = [float(spread[at, other]) for other, one in enumerate(names) if kinds[one] == kinds[name] and other != at]
    start = before[name]
    if others:
        shared = min(whole, max(0.0, sum(others) / len(others)))
    else:
        total = start.kind_sd**2 + start.variety_sd**2
        shared = whole * start.kind_sd**2 / total if total else 0.0
    shift = float(mean[at]) + (whole / 2 if keeps_mean else 0.0)
    return FigureDoubt(shift, sqrt(shared), sqrt(whole - shared))
