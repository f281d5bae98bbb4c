"""The day of the first stem, season by season: weather, daylight, germination and the batch's own pace.

Trays under unheated cover keep the pace of the open ground: what the cover gives, roots held in a cell and the check
of planting out take back (from memory). So a later sowing never flowers earlier. A bed in a tunnel is warmer for good.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from haulm.farm.varieties import Crop
from haulm.forecast.inputs import Sowing
from haulm.forecast.plan import Cycle
from haulm.forecast.seasons import OwnDraws, Seasons, first_ten_hour_day, sensitivity_rows
from haulm.horticulture.frost import NEVER
from haulm.horticulture.germination import (
    HEATED_SHARE_OF_DAYS,
    LONGEST_BENCH_DAYS,
    SPREAD_HEATED,
    SPREAD_OUTDOORS,
    germination_delay,
)
from haulm.horticulture.time_to_flower import PACE_SHARED, PACE_SPREAD, cumulative_progress, first_day_reached

_LONGEST_SEARCH_DAYS = 400
_STANDARD = NormalDist()
_CERTAIN = 1 - 1e-9


@dataclass(frozen=True, slots=True)
class Course:
    """Progress of a batch in every weather year, and how far each season has still to go.

    Attributes:
        first: the day number of column 0 of `progress`.
        progress: made before each day, shape (rows, days + 1).
        rows: the row of each season, shape (seasons,).
        head_start: progress not to be counted less what was given, shape (seasons,).
    """

    first: int
    progress: npt.NDArray[np.float64]
    rows: npt.NDArray[np.intp]
    head_start: npt.NDArray[np.float64]


def first_stem_days(sowing: Sowing, cycle: Cycle, seasons: Seasons, draws: OwnDraws) -> npt.NDArray[np.int64]:
    """The day of the first stem.

    Args:
        sowing: the batch; `not_yet` and `first_cut` of its evidence are used.
        cycle: its plan.
        seasons: the shared part of every season.
        draws: its own part.

    Returns:
        Day numbers in the span, shape (seasons,); `NEVER` where none comes within the span.

    Source: first day before which progress reaches exp(e - v/2), e normal with variance v = 0.08^2, three tenths of
    it shared by all batches of a season (from memory). A `not_yet` redraws the batch's own pace from what it leaves
    possible, season by season; the seasons keep their weights.
    """
    evidence = sowing.evidence
    if evidence.first_cut is not None:
        return np.full(seasons.setting.seasons, seasons.span.index(evidence.first_cut))
    course = _course(sowing, cycle, seasons, draws)
    shared = sqrt(PACE_SHARED) * seasons.z_pace
    days = _reached(course, shared, draws.z_pace, seasons)
    if evidence.not_yet is not None:
        after = seasons.span.index(evidence.not_yet)
        own = _pace_after(course, shared, draws, after)
        days = np.where(days > after, days, np.maximum(after + 1, _reached(course, shared, own, seasons)))
    days = np.maximum(days, cycle.not_before)
    if cycle.waits_for_light:
        lit = first_ten_hour_day(seasons)
        days = np.where(days < len(lit), lit[np.minimum(days, len(lit) - 1)], days)
    return np.where(days >= seasons.span.days, NEVER, days)


def _reached(
    course: Course, shared: npt.NDArray[np.float64], own: npt.NDArray[np.float64], seasons: Seasons
) -> npt.NDArray[np.int64]:
    score = PACE_SPREAD * (shared + sqrt(1 - PACE_SHARED) * own)
    need = np.exp(score - PACE_SPREAD**2 / 2) + course.head_start
    offsets = first_day_reached(course.progress, course.rows, need)
    reached = offsets < course.progress.shape[1]
    return np.where(reached, course.first + offsets, seasons.span.days).astype(np.int64)


def _pace_after(course: Course, shared: npt.NDArray[np.float64], draws: OwnDraws, day: int) -> npt.NDArray[np.float64]:
    """Own normal scores drawn from what is left when the first stem comes after a day, shape (seasons,)."""
    column = min(max(0, day - course.first), course.progress.shape[1] - 1)
    made = np.maximum(1e-9, course.progress[course.rows, column] - course.head_start)
    least = ((np.log(made) + PACE_SPREAD**2 / 2) / PACE_SPREAD - shared) / sqrt(1 - PACE_SHARED)
    below = np.minimum(_CERTAIN, np.array([_STANDARD.cdf(z) for z in least]))
    shares = np.clip(below + (1 - below) * draws.u_not_yet, 1e-12, 1 - 1e-12)
    return np.asarray(np.maximum(least, np.array([_STANDARD.inv_cdf(share) for share in shares])), dtype=np.float64)


def _course(sowing: Sowing, cycle: Cycle, seasons: Seasons, draws: OwnDraws) -> Course:
    crop = sowing.crop
    lead, offsets = _emergence(crop, cycle, draws)
    first = max(0, cycle.start - lead)
    offsets = np.maximum(0, offsets + cycle.start - first)
    stop = min(seasons.span.days, first + max(_LONGEST_SEARCH_DAYS, round(14 * crop.weeks_to_flower) + 200))
    warmth = seasons.warmth(crop.base_c, cover=sowing.tunnel)[:, first:stop]
    reference = seasons.reference(crop, start=cycle.reference_start)
    made = cumulative_progress(warmth, seasons.light_for(crop.life_cycle)[first:stop], reference)
    years = len(seasons.weather.min_c)
    sensitivity = sensitivity_rows(sowing.variety, seasons.setting)
    rows = sensitivity * years + seasons.weather_row
    progress = made.reshape(-1, made.shape[2])
    given = reference.emerged[sensitivity] if cycle.bench else cycle.given
    before = progress[rows, np.minimum(offsets, progress.shape[1] - 1)]
    return Course(first, progress, rows, before - given)


def _emergence(crop: Crop, cycle: Cycle, draws: OwnDraws) -> tuple[int, npt.NDArray[np.intp]]:
    """Days before the start that may count, and the day from which each season counts, from the start.

    In the open the mean delay is part of the stated weeks, so only its deviation moves the count. On the bench the
    count begins at emergence, with what a reference sowing had made by then.
    """
    if not cycle.seed:
        return 0, np.zeros(len(draws.z_delay), dtype=np.intp)
    mean = crop.germination_days
    if cycle.bench:
        delay = germination_delay(mean * HEATED_SHARE_OF_DAYS, SPREAD_HEATED, draws.z_delay)
        return 0, np.rint(np.minimum(delay, LONGEST_BENCH_DAYS)).astype(np.intp)
    delay = germination_delay(mean, SPREAD_OUTDOORS, draws.z_delay)
    return ceil(mean), np.rint(delay - mean).astype(np.intp)
