"""The day of the first stem, season by season: weather, daylight, germination and the batch's own pace.

Trays under unheated cover keep the pace of the open ground: what the cover gives, roots held in a cell and the check
of planting out take back (from memory). So a later sowing never flowers earlier. A bed in a tunnel is warmer for good.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil, sqrt

import numpy as np
import numpy.typing as npt

from haulm.farm.varieties import Crop
from haulm.forecast.doubted import doubted_need
from haulm.forecast.inputs import Sowing
from haulm.forecast.long_days import first_ten_hour_day
from haulm.forecast.normal_scores import scores_between
from haulm.forecast.own_draws import OwnDraws
from haulm.forecast.plan import Cycle
from haulm.forecast.seasons import Seasons
from haulm.forecast.spring import spring_progress
from haulm.horticulture.frost import NEVER
from haulm.horticulture.germination import (
    HEATED_SHARE_OF_DAYS,
    LONGEST_BENCH_DAYS,
    SPREAD_HEATED,
    SPREAD_OUTDOORS,
    germination_delay,
)
from haulm.horticulture.time_to_flower import KINDS, PACE_SHARED, PACE_SPREAD, first_day_reached, kinds_of

_LONGEST_SEARCH_DAYS = 400
_LEAST_PROGRESS = 1e-3

Start = tuple[npt.NDArray[np.intp], npt.NDArray[np.float64]]
"""The row of `Course.laid` of each season, and its head start, each shape (seasons,)."""


@dataclass(frozen=True, slots=True)
class Course:
    """Progress of a batch in every weather year, and how much of it does not count.

    Attributes:
        first: the day number of column 0 of `laid`.
        laid: progress made before each day, laid end to end, shape (weather years x kinds, columns).
        given: by kind of sensitivity, the share of the way the batch starts with, shape (kinds,).
        kind_of: the kind of each row of sensitivities, shape (sensitivities,).
        start: the column of the start.
        last_column: the last column that is looked at.
        year: the growing year of the span in which a usual plant flowers.
    """

    first: int
    laid: npt.NDArray[np.float64]
    given: npt.NDArray[np.float64]
    kind_of: npt.NDArray[np.intp]
    start: int
    last_column: int
    year: int

    def __post_init__(self) -> None:
        assert len(self.laid) % len(KINDS) == 0, "a row for each weather year and sensitivity"
        assert 0 <= self.last_column < self.laid.shape[1], "the last column is one of the table's"

    def column(self, day: int) -> int:
        """The column of a day of the span: progress made before it."""
        return min(max(0, day - self.first), self.last_column)

    def rows(self, sensitivity: npt.NDArray[np.intp], seasons: Seasons) -> npt.NDArray[np.intp]:
        """The row number of `laid` of each season, from its row of sensitivities, shape (seasons,)."""
        return np.asarray(seasons.weather_row * len(KINDS) + self.kind_of[sensitivity], dtype=np.intp)

    def made(self, columns: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
        """Progress made before the days of some columns, shape (kinds, weather years, columns).

        It is counted from the first of the columns, since only differences matter.
        """
        found = self.laid[:, columns]
        found = found - found[:, :1]
        return found.reshape(-1, len(KINDS), len(columns)).swapaxes(0, 1)


@dataclass(frozen=True, slots=True)
class Bounds:
    """Bounds of a first stem whose day is not recorded: after one day, not after another; None where there is none."""

    after: int | None = None
    until: int | None = None

    def __post_init__(self) -> None:
        assert self.after is None or self.until is None or self.after <= self.until, (
            "bounds leave some day between them"
        )


@dataclass(frozen=True)
class Growing:
    """One growing of a batch: the batch, its plan, and the shared part of every season."""

    sowing: Sowing
    cycle: Cycle
    seasons: Seasons

    @cached_property
    def course(self) -> Course:
        """Its progress in every weather year."""
        return course_of(self.sowing, self.cycle, self.seasons)


def first_stem_days(growing: Growing, draws: OwnDraws) -> npt.NDArray[np.int64]:
    """The day of the first stem.

    Args:
        growing: the batch; `not_yet`, `ready_by` and `first_cut` of its evidence are used.
        draws: its own part.

    Returns:
        Day numbers in the span, shape (seasons,); `NEVER` where none comes within the span.

    Source: first day before which progress reaches exp(e - v/2 + u), e normal with variance v = 0.09^2, three tenths of
    it shared by all batches of a season (from memory), u what is not known of kind and variety. Where a day is bounded,
    the batch's own pace is redrawn from what the bounds leave possible, season by season.
    """
    sowing, cycle, seasons = growing.sowing, growing.cycle, growing.seasons
    if sowing.evidence.first_cut is not None:
        return np.full(seasons.setting.seasons, seasons.span.index(sowing.evidence.first_cut))
    course = growing.course
    offsets = start_offsets(sowing.crop, cycle, course, draws.z_delay)
    start = head_start(course, seasons.sensitivity(sowing.variety), seasons, offsets)
    shared, off = seasons.shared_pace(course.year), doubted_need(sowing, seasons)
    bounds = first_stem_bounds(sowing, seasons)
    own = draws.z_pace
    if bounds != Bounds():
        low, high = own_pace_bounds(course, start, bounds_of_progress(bounds, cycle, seasons), seasons, off=off)
        own = scores_between(own, low, high, draws.u_not_yet)
    days = _gated(_reached(course, start, _need(shared, own, off), seasons), cycle, seasons)
    # Last, since a record outranks what the model makes a batch wait for.
    days = days if bounds.after is None else np.maximum(days, bounds.after + 1)
    days = days if bounds.until is None else np.minimum(days, bounds.until)
    return np.where(days >= seasons.span.days, NEVER, days)


def first_stem_bounds(sowing: Sowing, seasons: Seasons) -> Bounds:
    """The days between which the first stem came, as far as records say.

    Args:
        sowing: the batch; `not_yet` and `ready_by` of its evidence are used.
        seasons: for the span.

    Returns:
        Bounds; a "not yet" that is not earlier than the first stems recorded is ignored.

    Source: definition.
    """
    evidence, span = sowing.evidence, seasons.span
    until = None if evidence.ready_by is None else span.index(evidence.ready_by)
    after = None if evidence.not_yet is None else span.index(evidence.not_yet)
    if after is not None and until is not None and after >= until:
        after = None
    return Bounds(after, until)


def bounds_of_progress(bounds: Bounds, cycle: Cycle, seasons: Seasons) -> Bounds:
    """Bounds of the day on which enough progress is made, from bounds of the first stem.

    Args:
        bounds: of the first stem, which waits for light and for its time of the year.
        cycle: the plan of the batch.
        seasons: for its day lengths.

    Returns:
        Bounds; None where the wait leaves the progress free.

    Source: the first stem comes on the first open day from that day on; so it comes after a day where progress comes
    after the last open day up to it.
    """
    after = None if bounds.after is None else last_open_day(bounds.after, cycle, seasons)
    return Bounds(after, None if bounds.until is None else last_open_day(bounds.until, cycle, seasons))


def last_open_day(day: int, cycle: Cycle, seasons: Seasons) -> int | None:
    """The last day up to one on which a first stem may come; None where there is none.

    Args:
        day: day number in the span.
        cycle: the plan of the batch.
        seasons: for its day lengths.

    Returns:
        Day number, or None.

    Source: the ten-hour rule and `not_before`.
    """
    first = max(0, cycle.not_before)
    day = min(day, seasons.span.days - 1)
    if not cycle.waits_for_light:
        return day if day >= first else None
    open_days = np.flatnonzero(first_ten_hour_day(seasons)[first : day + 1] == np.arange(first, day + 1))
    return first + int(open_days[-1]) if len(open_days) else None


def own_pace_bounds(
    course: Course, start: Start, bounds: Bounds, seasons: Seasons, *, off: npt.NDArray[np.float64] | float = 0.0
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """The batch's own normal scores that bring enough progress between two days.

    Args:
        course: progress of the batch.
        start: row and head start of each season.
        bounds: of the day on which enough progress is made.
        seasons: for its weather years and shared pace.
        off: how far the need of the batch is off, a logarithm, shape (seasons,) or one for all.

    Returns:
        Lowest and highest score, each shape (seasons,).

    Source: the score at which progress at a day is just enough.
    """
    count = len(seasons.weather_row)
    edges: list[npt.NDArray[np.float64]] = []
    for day, open_end in ((bounds.after, -np.inf), (bounds.until, np.inf)):
        if day is None:
            edges.append(np.full(count, open_end))
            continue
        made = course.laid[start[0], course.column(day)] - start[1]
        edges.append(own_score(pace_score(made) - off / PACE_SPREAD, seasons.shared_pace(course.year)))
    return edges[0], edges[1]


def pace_score(progress: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The normal score of a plant whose first stem takes so much progress.

    Args:
        progress: counted progress, any shape; 1 is a mean plant.

    Returns:
        Scores as numbers of spreads, same shape.

    Source: the inverse of exp(0.09 z - 0.09^2 / 2).
    """
    return np.asarray((np.log(np.maximum(_LEAST_PROGRESS, progress)) + PACE_SPREAD**2 / 2) / PACE_SPREAD)


def own_score(score: npt.NDArray[np.float64], shared: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The batch's own part of a pace score, once the shared part is known.

    Args:
        score: pace scores, shape (..., seasons).
        shared: shared pace scores, shape (seasons,).

    Returns:
        Own normal scores as numbers of spreads, shape (..., seasons).

    Source: score = sqrt(0.3) shared + sqrt(0.7) own (from memory).
    """
    return np.asarray((score - sqrt(PACE_SHARED) * shared) / sqrt(1 - PACE_SHARED), dtype=np.float64)


def course_of(sowing: Sowing, cycle: Cycle, seasons: Seasons, *, until: int = 0) -> Course:
    """The progress of a batch in every weather year.

    Args:
        sowing: the batch.
        cycle: its plan.
        seasons: for weather and light.
        until: the course reaches this day of the span at least.

    Returns:
        The course, of more than a year.

    Source: `Seasons.progress`, from as many days before the start as an early germination may count; for kinds that
    wait for winter `spring_progress`.
    """
    kind_of = kinds_of(sowing.crop.life_cycle)
    if cycle.spring is not None:
        begins, laid = spring_progress(sowing.crop, cycle.spring, seasons, cover=sowing.tunnel)
        start, last = max(0, cycle.start - begins), laid.shape[1] - 1
        return Course(begins, laid, np.zeros(len(KINDS)), kind_of, min(start, last), last, cycle.spring.years[0])
    return _course_of_weeks(sowing, cycle, seasons, until=until)


def _course_of_weeks(sowing: Sowing, cycle: Cycle, seasons: Seasons, *, until: int) -> Course:
    crop = sowing.crop
    kind_of = kinds_of(crop.life_cycle)
    lead = ceil(crop.germination_days) if cycle.seed and not cycle.bench else 0
    first = max(0, cycle.start - lead)
    longest = max(_LONGEST_SEARCH_DAYS, round(14 * crop.weeks_to_flower) + 200, until - first)
    last = min(seasons.span.days, first + longest)
    begins, laid = seasons.progress(
        crop, reference_start=cycle.reference_start, cover=sowing.tunnel, part=(first, last)
    )
    start = cycle.start - begins
    given = np.full(len(KINDS), cycle.given)
    if cycle.bench:
        given = seasons.reference(crop, start=cycle.reference_start).emerged
    usual_kind = int(kind_of[len(kind_of) // 2])
    usual_year = len(seasons.weather.min_c) // 2
    middle = laid[usual_year * len(KINDS) + usual_kind, : last - begins + 1]
    counted_from = float(middle[min(start, len(middle) - 1)]) - float(given[usual_kind])
    usual = begins + int(np.searchsorted(middle, 1 + counted_from))
    year = int(seasons.growing_year[min(max(usual, cycle.not_before), seasons.span.days - 1)])
    return Course(begins, laid, given, kind_of, start, last - begins, year)


def start_offsets(crop: Crop, cycle: Cycle, course: Course, z_delay: npt.NDArray[np.float64]) -> npt.NDArray[np.intp]:
    """The day from which progress counts, as a column of the course.

    In the open the mean delay is part of the stated weeks, so only its deviation moves the count. On the bench the
    count begins at emergence, with what a reference sowing had made by then.

    Args:
        crop: for its days of germination.
        cycle: its plan.
        course: progress of the batch.
        z_delay: normal scores of the delay, any shape.

    Returns:
        Columns, same shape.

    Source: `germination_delay`.
    """
    if not cycle.seed:
        return np.full(z_delay.shape, min(course.start, course.last_column), dtype=np.intp)
    moved: npt.NDArray[np.float64]
    if cycle.bench:
        delay = germination_delay(crop.germination_days * HEATED_SHARE_OF_DAYS, SPREAD_HEATED, z_delay)
        moved = np.rint(np.minimum(delay, LONGEST_BENCH_DAYS))
    else:
        moved = np.rint(germination_delay(crop.germination_days, SPREAD_OUTDOORS, z_delay) - crop.germination_days)
    return np.minimum(np.maximum(moved + course.start, 0), course.last_column).astype(np.intp)


def head_start(
    course: Course, sensitivity: npt.NDArray[np.intp], seasons: Seasons, offsets: npt.NDArray[np.intp]
) -> Start:
    """Progress not to be counted less what was given.

    Args:
        course: progress of the batch.
        sensitivity: row of sensitivities of each season, shape (seasons,).
        seasons: for its weather years.
        offsets: columns from which progress counts, shape (seasons,).

    Returns:
        The row of each season and its progress, on the scale of `Course.laid`.

    Source: definition.
    """
    rows = course.rows(sensitivity, seasons)
    made: npt.NDArray[np.float64] = course.laid.ravel()[rows * course.laid.shape[1] + offsets]
    return rows, made - course.given[course.kind_of[sensitivity]]


def _need(
    shared: npt.NDArray[np.float64], own: npt.NDArray[np.float64], off: npt.NDArray[np.float64] | float
) -> npt.NDArray[np.float64]:
    score = PACE_SPREAD * (sqrt(PACE_SHARED) * shared + sqrt(1 - PACE_SHARED) * own)
    return np.asarray(np.exp(score - PACE_SPREAD**2 / 2 + off), dtype=np.float64)


def _reached(
    course: Course,
    start: Start,
    need: npt.NDArray[np.float64],
    seasons: Seasons,
) -> npt.NDArray[np.int64]:
    rows, head = start
    offsets = first_day_reached(course.laid, rows, need + head)
    return np.where(offsets <= course.last_column, course.first + offsets, seasons.span.days).astype(np.int64)


def _gated(days: npt.NDArray[np.int64], cycle: Cycle, seasons: Seasons) -> npt.NDArray[np.int64]:
    days = days if cycle.not_before <= 0 else np.maximum(days, cycle.not_before)
    if not cycle.waits_for_light:
        return days
    return np.asarray(first_ten_hour_day(seasons).take(days, mode="clip"), dtype=np.int64)
