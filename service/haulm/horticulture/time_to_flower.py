"""Time to flower: daily progress from sowing to the first stem, and the day on which it is complete.

One rate serves the plain weeks rule and thermal time. Its sensitivity says how far days warmer than those of the
reference sowing hasten a crop: 0 not at all, 1 in proportion. Cold days always slow it: a day less than 45 % as
warm as those of the reference counts in proportion to its warmth, whatever the sensitivity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

SENSITIVITIES = (0.0, 0.0, 0.5, 1.0)
FULL_PACE_WARMTH = 0.45
REFERENCE_MONTH_DAY: tuple[int, int] = (4, 15)
BIENNIAL_MONTH_DAY: tuple[int, int] = (7, 1)
BIOFIX_MONTH_DAY = (3, 1)
BIOFIX_MONTH_DAY_SOUTH = (9, 1)
COVER_MIN_RISE_C = 1.5
COVER_MAX_RISE_C = 5.0
PACE_SPREAD = 0.09
PACE_SHARED = 0.3

_ROW_APART = 1024.0
_LEAST_PACE = 1e-9


@dataclass(frozen=True, slots=True)
class Reference:
    """What the stated weeks to flower mean at this site.

    Attributes:
        warmth: mean degree-days of a day of the reference weeks [deg C d].
        pace: by sensitivity, the summed pace of the reference weeks, shape (sensitivities,) [reference days].
        emerged: by sensitivity, the share of the way gone when a reference sowing comes up.
    """

    warmth: float
    pace: npt.NDArray[np.float64]
    emerged: npt.NDArray[np.float64]


def upper_limit_c(base_c: float) -> float:
    """The temperature above which more warmth does not hasten a kind.

    Args:
        base_c: the kind's base temperature [deg C].

    Returns:
        Upper limit [deg C]: 25 for cool-season kinds (base up to 6), 30 for warm-season ones.

    Source: Adams, Pearson and Hadley (1997) found an optimum of 21.7 deg C for pansy; the two limits are from memory.
    """
    return 25.0 if base_c <= 6 else 30.0


def reference_pace(
    warmth: npt.NDArray[np.float32], light: npt.NDArray[np.float32], *, weeks: float, germination_days: float
) -> Reference:
    """The reference that makes the stated weeks come back for a reference sowing in the site's mean year.

    Args:
        warmth: degree-days from the reference sow day on, shape (years, days) [deg C d].
        light: short-day factor of the same days, shape (days,).
        weeks: weeks from sowing to flower [weeks].
        germination_days: mean days from sowing to emergence in a reference sowing [d].

    Returns:
        The reference.

    Source: the rate below, summed over the reference weeks and averaged over years.
    """
    days = min(max(1, round(weeks * 7)), warmth.shape[1])
    mean_warmth = max(float(warmth[:, :days].mean()), _LEAST_PACE)
    sums = np.empty(len(SENSITIVITIES))
    emerged = np.empty(len(SENSITIVITIES))
    up = min(days, max(0, round(germination_days)))
    for row, sensitivity in enumerate(SENSITIVITIES):
        pace = daily_pace(warmth[:, :days], light[:days], reference_warmth=mean_warmth, sensitivity=sensitivity)
        sums[row] = max(float(pace.sum(axis=1).mean()), _LEAST_PACE)
        emerged[row] = float(pace[:, :up].sum(axis=1).mean()) / sums[row]
    return Reference(mean_warmth, sums, emerged)


def daily_pace(
    warmth: npt.NDArray[np.float32],
    light: npt.NDArray[np.float32],
    *,
    reference_warmth: float,
    sensitivity: float,
) -> npt.NDArray[np.float64]:
    """A day's progress, in days of the reference sowing.

    Args:
        warmth: degree-days, shape (years, days) [deg C d].
        light: short-day factor, shape (days,).
        reference_warmth: mean degree-days of a day of the reference weeks [deg C d].
        sensitivity: 0 to 1, how far days warmer than the reference hasten the crop.

    Returns:
        Pace, shape (years, days): f(L) [(1 - a) min(1, q / 0.45) + a q], q = warmth / reference warmth.

    Source: rate of progress linear in temperature below the optimum (Adams, Pearson and Hadley 1997, J. Hort. Sci.);
    weeks that hold for sowings from April to June (common practice), hence a part that is flat on warm days. The 0.45,
    the four sensitivities and the spread of the pace are set so that hindcasts of six places cover four in five,
    taken over kinds that follow warmth, the calendar or both.
    """
    q = warmth.astype(np.float64) / reference_warmth
    return np.asarray(
        light * ((1 - sensitivity) * np.minimum(1, q / FULL_PACE_WARMTH) + sensitivity * q), dtype=np.float64
    )


def cumulative_progress(
    warmth: npt.NDArray[np.float32], light: npt.NDArray[np.float32], reference: Reference
) -> npt.NDArray[np.float64]:
    """Progress towards the first stem, for each sensitivity and weather year; 1 is the first stem of a mean plant.

    Args:
        warmth: degree-days where the batch stands, shape (years, days) [deg C d].
        light: short-day factor, shape (days,).
        reference: of the same crop.

    Returns:
        Progress made before each day, shape (sensitivities, years, days + 1); column 0 is 0.

    Source: the sum of `daily_pace`, over the reference's.
    """
    years, days = warmth.shape
    q = warmth * np.float32(1 / reference.warmth)
    capped = np.cumsum(light * np.minimum(np.float32(1), q / np.float32(FULL_PACE_WARMTH)), axis=1, dtype=np.float64)
    free = np.cumsum(light * q, axis=1, dtype=np.float64)
    progress = np.zeros((len(SENSITIVITIES), years, days + 1))
    for row, sensitivity in enumerate(SENSITIVITIES):
        progress[row, :, 1:] = ((1 - sensitivity) * capped + sensitivity * free) / reference.pace[row]
    return progress


def first_day_reached(
    progress: npt.NDArray[np.float64], rows: npt.NDArray[np.intp], need: npt.NDArray[np.float64]
) -> npt.NDArray[np.intp]:
    """The first day before which a season's need has been made.

    Args:
        progress: rising rows, shape (rows, days + 1), below 1024.
        rows: the row of each season, shape (seasons,).
        need: progress needed, shape (seasons,).

    Returns:
        Day offsets, shape (seasons,); days + 1 where the need is not reached.

    Source: definition; one search over all rows, laid end to end with a gap between them.
    """
    width = progress.shape[1]
    laid = (progress + _ROW_APART * np.arange(len(progress))[:, None]).ravel()
    found = np.searchsorted(laid, _ROW_APART * rows + np.clip(need, 0, _ROW_APART / 2)) - rows * width
    return np.asarray(np.clip(found, 0, width), dtype=np.intp)
