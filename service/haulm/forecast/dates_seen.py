"""The likelihood of each season given the day of a batch's first stem, or the days between which it came.

The batch's own pace is integrated out; what is left is evidence of the season, and of what all batches of a variety
share: how sensitive it is to warmth, and how far off the figure of its need is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
import numpy.typing as npt

from haulm.forecast.dead_lots import dead_seasons
from haulm.forecast.first_stem import (
    Bounds,
    Course,
    bounds_of_progress,
    course_of,
    first_stem_bounds,
    head_start,
    last_open_day,
    own_pace_bounds,
    own_score,
    pace_score,
    start_offsets,
)
from haulm.forecast.harvest_seen import tailed
from haulm.forecast.inputs import Sowing
from haulm.forecast.normal_scores import share_below, shares_nearly
from haulm.forecast.own_draws import own_draws
from haulm.forecast.plan import Cycle, cycles
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR
from haulm.horticulture.time_to_flower import KINDS, PACE_SHARED, PACE_SPREAD, SENSITIVITY_ROWS

# Gauss-Hermite nodes and weights of a standard normal score, five points (Abramowitz and Stegun 1964, table 25.10).
_DELAY_SCORES = np.array([-2.8569700, -1.3556262, 0.0, 1.3556262, 2.8569700])
_DELAY_SHARES = np.array([0.0112574, 0.2220759, 0.5333333, 0.2220759, 0.0112574])
assert abs(float(_DELAY_SHARES.sum()) - 1) < 1e-6, "the weights of a mean add up to 1"
# One record that no season explains must not outweigh all others, as a share of 0 would.
_LEAST_RATE = 1e-6
_LEAST_SHARE = 1e-6

OWN_SPREAD = PACE_SPREAD * sqrt(1 - PACE_SHARED)
"""Of a batch's own pace, on the logarithm of its need."""

FloatArray = npt.NDArray[np.float64]
Grid = npt.NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class DateSeen:
    """What a first stem says of a batch's own pace if the figure of its need is right: scores, shape (kinds, seasons).

    Attributes:
        kind_of: the kind of each row of sensitivities, shape (sensitivities,).
        low, high: bounds of the score; of a dated first stem both are its mean over days of germination.
        spread: its standard deviation, days of germination included; None where the first stem is only bounded.
        level: the constant of the log-likelihood, shape (kinds, seasons); None where it is only bounded.
    """

    kind_of: npt.NDArray[np.intp]
    low: Grid
    high: Grid
    spread: Grid | None = None
    level: Grid | None = None

    def __post_init__(self) -> None:
        assert self.low.shape == self.high.shape, "a lower and an upper bound in each season"
        assert (self.spread is None) == (self.level is None), "a dated first stem has a spread and a level"

    def at(self, off: FloatArray) -> Grid:
        """Log-likelihoods if the need is off so far, shape (kinds, nodes, seasons) [logarithms of shares]."""
        moved = (off / OWN_SPREAD).astype(np.float32)[:, None]
        if self.spread is None or self.level is None:
            share = shares_nearly(self.high[:, None] - moved) - shares_nearly(self.low[:, None] - moved)
            return np.asarray(np.log(np.maximum(np.float32(_LEAST_SHARE), share)), dtype=np.float32)
        fit = tailed((self.low[:, None] - moved) / self.spread[:, None])
        return np.asarray(fit + self.level[:, None], dtype=np.float32)


def date_log_shares(sowing: Sowing, seasons: Seasons) -> FloatArray | None:
    """The log-likelihood of each season given a batch's first stem, its need being known but for its shift.

    Args:
        sowing: the batch; `first_cut`, `not_yet` and `ready_by` of its evidence are used.
        seasons: the shared part of every season.

    Returns:
        Logarithms up to a constant, shape (sensitivities, seasons); None where nothing was recorded in this growing
        year, or the plan of the batch could not have brought it.

    Source: section "Evidence" of docs/engineer/forecast.md. A first cut on day F: normal density of the batch's own
    score, summed over germination delays, times the day's progress over the progress counted (the Jacobian:
    without it warm years are favoured). Bounds: the share of own scores that the bounds leave.
    """
    sight = _sight(sowing, seasons)
    if sight is None:
        return None
    off = sowing.doubt.need.shift
    if sight.day is None:
        low, high = _bounded(sowing, sight, seasons, off, range(SENSITIVITY_ROWS))
        return np.asarray(np.log(np.maximum(_LEAST_SHARE, share_below(high) - share_below(low))))
    score, jacobian = _dated(sowing, sight, off, seasons)
    shares = (_DELAY_SHARES if sight.cycle.seed else np.ones(1))[:, None]
    # (kinds, weather years, delays), then by season: (kinds, delays, seasons).
    own = own_score(score.transpose(0, 2, 1)[:, :, seasons.weather_row], seasons.shared_pace(sight.course.year))
    fit = tailed(own)
    fit += jacobian.transpose(0, 2, 1)[:, :, seasons.weather_row] + np.log(shares)
    best = fit.max(axis=1)
    found = best + np.log(np.exp(fit - best[:, None]).sum(axis=1))
    return np.asarray(found[sight.course.kind_of], dtype=np.float64)


def date_seen(sowing: Sowing, seasons: Seasons) -> DateSeen | None:
    """The evidence of a batch's first stem, for any need.

    Args:
        sowing: the batch.
        seasons: the shared part of every season.

    Returns:
        As `date_log_shares`, as a function of how far off the need is.

    Source: as `date_log_shares`, a germination's delays taken by their mean and variance on the scale of the score.
    """
    sight = _sight(sowing, seasons)
    if sight is None:
        return None
    off, kind_of = sowing.doubt.need.shift, sight.course.kind_of
    if sight.day is None:
        rows = [int(np.argmax(kind_of == kind)) for kind in range(len(KINDS))]
        low, high = _bounded(sowing, sight, seasons, off, rows)
        return DateSeen(kind_of, low.astype(np.float32), high.astype(np.float32))
    score, jacobian = _dated(sowing, sight, off, seasons)
    shares = _DELAY_SHARES if sight.cycle.seed else np.ones(1)
    mean = score @ shares
    variance = np.maximum((score**2) @ shares - mean**2, 0) / (1 - PACE_SHARED)
    spread = np.sqrt(1 + variance)[:, seasons.weather_row]
    level = (jacobian @ shares)[:, seasons.weather_row] - np.log(spread)
    own = own_score(mean[:, seasons.weather_row], seasons.shared_pace(sight.course.year)).astype(np.float32)
    return DateSeen(kind_of, own, own, spread.astype(np.float32), level.astype(np.float32))


@dataclass(frozen=True, slots=True)
class _Sight:
    """A batch's plan and what was recorded of its first stem: its day, or the days between which it came."""

    cycle: Cycle
    course: Course
    day: int | None
    bounds: Bounds


def _sight(sowing: Sowing, seasons: Seasons) -> _Sight | None:
    evidence, span = sowing.evidence, seasons.span
    seen = [span.index(day) for day in (evidence.first_cut, evidence.not_yet, evidence.ready_by) if day is not None]
    found = [cycle for cycle in cycles(sowing, seasons) if cycle.key == sowing.key] if seen else []
    # The first stem of an earlier year says nothing of this year's season.
    if not found or max(seen) < span.starts[THIS_YEAR]:
        return None
    cycle, course = found[0], course_of(sowing, found[0], seasons, until=max(seen) + 2)
    if evidence.first_cut is None:
        bounds = bounds_of_progress(first_stem_bounds(sowing, seasons), cycle, seasons)
        return None if bounds == Bounds() else _Sight(cycle, course, None, bounds)
    day = span.index(evidence.first_cut)
    if not course.start < day - course.first <= course.last_column or last_open_day(day, cycle, seasons) != day:
        return None
    if last_open_day(day - 1, cycle, seasons) != day - 1:
        # It may have been ready earlier and waited for light: the day only bounds its progress.
        return _Sight(cycle, course, None, Bounds(until=day))
    return _Sight(cycle, course, day, Bounds())


def _dated(sowing: Sowing, sight: _Sight, off: float, seasons: Seasons) -> tuple[FloatArray, FloatArray]:
    """Pace scores that bring the first stem on its day, and the Jacobian, each (kinds, weather years, delays)."""
    cycle, course, day = sight.cycle, sight.course, sight.day
    assert day is not None, "a dated first stem has a day"
    scores = _DELAY_SCORES if cycle.seed else np.zeros(1)
    offsets = start_offsets(sowing.crop, cycle, course, scores)
    column = course.column(day)
    made = course.made(np.concatenate([[column, column - 1], offsets]))
    head = made[:, :, 2:] - course.given[:, None, None]
    rate = made[:, :, :1] - made[:, :, 1:2]
    # Progress is made through the day, so at the first stem half of the day's counts.
    counted = (made[:, :, :1] - rate / 2) - head
    jacobian = np.log(np.maximum(rate, _LEAST_RATE)) - np.log(np.maximum(counted, _LEAST_RATE))
    return pace_score(counted) - off / PACE_SPREAD, jacobian


def _bounded(
    sowing: Sowing, sight: _Sight, seasons: Seasons, off: float, rows: Sequence[int]
) -> tuple[FloatArray, FloatArray]:
    """Bounds of the batch's own score by row of sensitivities, each shape (rows, seasons)."""
    cycle, course = sight.cycle, sight.course
    offsets = start_offsets(sowing.crop, cycle, course, own_draws(cycle.key, seasons.setting).z_delay)
    low, high = np.empty((2, len(rows), len(offsets)))
    for place, row in enumerate(rows):
        start = head_start(course, np.full(len(offsets), row, dtype=np.intp), seasons, offsets)
        low[place], high[place] = own_pace_bounds(course, start, sight.bounds, seasons, off=off)
    # What has not come up has not flowered, whatever its pace.
    dead = dead_seasons(sowing, cycle, seasons)
    low[:, dead], high[:, dead] = -np.inf, np.inf
    return low, high
