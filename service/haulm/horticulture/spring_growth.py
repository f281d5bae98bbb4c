"""Spring growth after winter: cold that has to be had, then warmth up to the first stem.

For bulbs, perennials and biennials. Days are columns of one calendar that the caller chooses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

NO_COLD_ABOVE_C = 12.0
FULL_COLD_BELOW_C = 7.0
COLD_FROM_MONTH_DAY, COLD_FROM_MONTH_DAY_SOUTH = (9, 1), (3, 1)
COLD_BY_MONTH_DAY, COLD_BY_MONTH_DAY_SOUTH = (4, 1), (10, 1)
YOUNG_WEEKS = 10.0
"""In leaf before cold counts for a plant from seed, from a sowing of 1 July in England (from memory)."""

# Warmth had is divided by warmth needed.
_LEAST_WARMTH = 1.0


@dataclass(frozen=True, slots=True)
class WinterDays:
    """The days of one winter and the spring after it, as columns.

    Attributes:
        cold_from: cold counts from this day on.
        cold_by: cold had by this day is soon enough.
        grows_from: no growth towards flowering before this day.
        end: the day after the last of the growing year.
    """

    cold_from: int
    cold_by: int
    grows_from: int
    end: int

    def __post_init__(self) -> None:
        assert 0 <= self.cold_from <= self.cold_by, "a winter begins in the calendar, and before it ends"
        assert self.cold_by <= self.end, "the winter ends in its growing year"
        assert self.grows_from < self.end, "growth may begin in the growing year"


def cold_of_days(min_c: npt.NDArray[np.float32], max_c: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """The cold of each day: 1 where its mean is 7 deg C or less, 0 at 12 and above, a straight line between.

    Args:
        min_c: daily minimum, any shape [deg C].
        max_c: daily maximum, same shape [deg C].

    Returns:
        Days of full cold, same shape.

    Source: shape from memory; the limits were chosen on published dates of tulips and peonies.
    """
    mean = (min_c + max_c) / 2
    return np.asarray(np.clip((NO_COLD_ABOVE_C - mean) / (NO_COLD_ABOVE_C - FULL_COLD_BELOW_C), 0, 1), dtype=np.float32)


def cold_had(
    cold: npt.NDArray[np.float32], days: WinterDays, counted_from: npt.NDArray[np.intp] | None = None
) -> npt.NDArray[np.float64]:
    """Cold had by the end of each day of a winter.

    Args:
        cold: of each day, shape (years, days).
        days: of the winter.
        counted_from: by year, the column before which cold doesn't count yet; None where all of it does.

    Returns:
        Running sums from `cold_from` up to `cold_by`, shape (years, days of the winter) [days of full cold].

    Source: definition.
    """
    part = cold[:, days.cold_from : days.cold_by].astype(np.float64)
    if counted_from is not None:
        counts: npt.NDArray[np.bool_] = np.arange(days.cold_from, days.cold_by) >= counted_from[:, None]
        part *= counts
    return np.asarray(np.cumsum(part, axis=1))


def growth_starts(had: npt.NDArray[np.float64], days: WinterDays, needed: float) -> npt.NDArray[np.intp]:
    """The day on which growth towards flowering starts: its time of the year has come, and it has had its cold.

    Args:
        had: what `cold_had` gives, shape (years, days of the winter).
        days: of the winter.
        needed: days of full cold.

    Returns:
        Columns, shape (years,); `days.end` where the cold is not had in time.

    Source: definition.
    """
    assert had.shape[1] == days.cold_by - days.cold_from, "one column of cold for each day of the winter"
    if needed <= 0:
        return np.full(len(had), days.grows_from, dtype=np.intp)
    if had.shape[1] == 0:
        return np.full(len(had), days.end, dtype=np.intp)
    # `argmax` of a row without a True is 0, so the last column has to say whether there is one.
    enough = had >= needed
    first = np.where(enough[:, -1], days.cold_from + np.argmax(enough, axis=1), days.end)
    return np.maximum(first, days.grows_from).astype(np.intp)


def warmth_needed(warmth: npt.NDArray[np.float32], starts: npt.NDArray[np.intp], until: int) -> float:
    """The warmth from the start of growth up to a day, the mean over years in which growth starts before it.

    Args:
        warmth: degree-days, shape (years, days) [deg C d].
        starts: columns, shape (years,).
        until: the column of the day, not counted.

    Returns:
        Degree-days, at least 1 [deg C d].

    Source: definition.
    """
    grown = spring_warmth(warmth[:, :until], starts)
    at_work = starts < until
    return max(float(grown[at_work, -1].mean()), _LEAST_WARMTH) if at_work.any() else _LEAST_WARMTH


def spring_warmth(warmth: npt.NDArray[np.float32], starts: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
    """Warmth from the start of growth on, summed up before each day.

    Args:
        warmth: degree-days, shape (years, days) [deg C d].
        starts: columns, shape (years,).

    Returns:
        Shape (years, days + 1) [deg C d]; column 0 is 0.

    Source: definition.
    """
    years, days = warmth.shape
    found = np.zeros((years, days + 1))
    first: npt.NDArray[np.intp] = starts.reshape(-1, 1)
    growing = np.arange(days, dtype=np.intp) >= first
    np.cumsum(np.where(growing, warmth, 0), axis=1, dtype=np.float64, out=found[:, 1:])
    return found
