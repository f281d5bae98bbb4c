"""How well each season fits the day on which a batch's first stem came, or is known not to have come yet.

The batch's own pace is integrated out; what is left says something of the season, and of how sensitive its variety is
to warmth, which all batches share.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

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
from haulm.forecast.normal_scores import share_below
from haulm.forecast.plan import Cycle, cycles
from haulm.forecast.seasons import Seasons, own_draws
from haulm.forecast.weather import THIS_YEAR
from haulm.horticulture.time_to_flower import SENSITIVITY_ROWS

# Gauss-Hermite nodes and weights of a standard normal score, five points (Abramowitz and Stegun 1964, table 25.10).
_DELAY_SCORES = np.array([-2.8569700, -1.3556262, 0.0, 1.3556262, 2.8569700])
_DELAY_SHARES = np.array([0.0112574, 0.2220759, 0.5333333, 0.2220759, 0.0112574])
_LEAST_RATE = 1e-6
_LEAST_SHARE = 1e-6


def date_log_shares(sowing: Sowing, seasons: Seasons) -> npt.NDArray[np.float64] | None:
    """How well each season fits what was seen of a batch's first stem.

    Args:
        sowing: the batch; `first_cut`, `not_yet` and `ready_by` of its evidence are used.
        seasons: the shared part of every season.

    Returns:
        Logarithms up to a constant, shape (sensitivities, seasons); None where nothing was seen, or it was seen in an
        earlier growing year, or the plan of the batch could not have brought it.

    Source: section "Evidence" of docs/engineer/forecast.md. A first cut on day F: normal density of the batch's own
    score, integrated over the delay of germination, times the day's progress over the progress counted (the Jacobian:
    without it warm years are favoured). Bounds: the share of own scores that the bounds leave.
    """
    evidence, span = sowing.evidence, seasons.span
    seen = [span.index(day) for day in (evidence.first_cut, evidence.not_yet, evidence.ready_by) if day is not None]
    found = [cycle for cycle in cycles(sowing, seasons) if cycle.key == sowing.key] if seen else []
    if not found or max(seen) < span.starts[THIS_YEAR]:
        return None
    course = course_of(sowing, found[0], seasons, until=max(seen) + 2)
    if evidence.first_cut is None:
        bounds = bounds_of_progress(first_stem_bounds(sowing, seasons), found[0], seasons)
        return _bounded(sowing, (found[0], course), bounds, seasons)
    day = span.index(evidence.first_cut)
    if not course.start < day - course.first <= course.last_column or last_open_day(day, found[0], seasons) != day:
        return None
    if last_open_day(day - 1, found[0], seasons) != day - 1:
        # It may have been ready earlier and waited for light: the day only bounds its progress.
        return _bounded(sowing, (found[0], course), Bounds(until=day), seasons)
    return _dated(sowing, (found[0], course), day, seasons)


def _dated(sowing: Sowing, plan: tuple[Cycle, Course], day: int, seasons: Seasons) -> npt.NDArray[np.float64]:
    cycle, course = plan
    scores, shares = (_DELAY_SCORES, _DELAY_SHARES) if cycle.seed else (np.zeros(1), np.ones(1))
    offsets = start_offsets(sowing.crop, cycle, course, scores)
    column = course.column(day)
    made = course.made(np.concatenate([[column, column - 1], offsets]))
    head = made[:, :, 2:] - course.given[:, None, None]
    rate = made[:, :, :1] - made[:, :, 1:2]
    counted = (made[:, :, :1] - rate / 2) - head
    # (kinds, weather years, delays), then by season: (kinds, delays, seasons).
    jacobian = np.log(np.maximum(rate, _LEAST_RATE)) - np.log(np.maximum(counted, _LEAST_RATE)) + np.log(shares)
    score = pace_score(counted).transpose(0, 2, 1)[:, :, seasons.weather_row]
    fit = tailed(own_score(score, seasons.shared_pace(course.year)))
    fit += jacobian.transpose(0, 2, 1)[:, :, seasons.weather_row]
    best = fit.max(axis=1)
    found = best + np.log(np.exp(fit - best[:, None]).sum(axis=1))
    return np.asarray(found[course.kind_of], dtype=np.float64)


def _bounded(
    sowing: Sowing, plan: tuple[Cycle, Course], bounds: Bounds, seasons: Seasons
) -> npt.NDArray[np.float64] | None:
    if bounds == Bounds():
        return None
    cycle, course = plan
    offsets = start_offsets(sowing.crop, cycle, course, own_draws(cycle.key, seasons.setting).z_delay)
    found = np.empty((SENSITIVITY_ROWS, len(offsets)))
    for row in range(SENSITIVITY_ROWS):
        start = head_start(course, np.full(len(offsets), row, dtype=np.intp), seasons, offsets)
        low, high = own_pace_bounds(course, start, bounds, seasons)
        found[row] = np.log(np.maximum(_LEAST_SHARE, share_below(high) - share_below(low)))
    return found
