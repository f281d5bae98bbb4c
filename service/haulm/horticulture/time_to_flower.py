"""Time to flower: daily progress from sowing to the first stem, and the day on which it is complete.

One rate covers both the plain weeks rule and thermal time. Its sensitivity says how far days warmer than those of the
reference sowing hasten a crop: 0 not at all, 1 in proportion. Cold days always slow it: a day less than 45 % as
warm as those of the reference counts in proportion to its warmth, whatever the sensitivity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.words import LifeCycle

SENSITIVITIES = (0.0, 0.0, 0.5, 1.0)
HARDY_SENSITIVITIES = (0.0, 0.5, 1.0, 1.0)
FULL_PACE_WARMTH = 0.45
REFERENCE_MONTH_DAY: tuple[int, int] = (4, 15)
BIENNIAL_MONTH_DAY: tuple[int, int] = (7, 1)
BIOFIX_MONTH_DAY = (3, 1)
BIOFIX_MONTH_DAY_SOUTH = (9, 1)
COVER_MIN_RISE_C = 1.5
COVER_MAX_RISE_C = (2.0, 8.0)
COVER_VENTED_C = 27.0
PACE_SPREAD = 0.09
PACE_SHARED = 0.3

KINDS = tuple(sorted(set(SENSITIVITIES)))
"""The sensitivities, each once."""

SENSITIVITY_ROWS = len(SENSITIVITIES)
assert len(HARDY_SENSITIVITIES) == SENSITIVITY_ROWS, "equally many for every kind"
assert set(HARDY_SENSITIVITIES) <= set(KINDS), "tables of progress hold every sensitivity that a kind may have"

# No plant makes its way a thousand times in four years; a power of two is added without rounding.
_ROW_APART = 1024.0
# Where nothing grows in the reference weeks; progress is divided by it.
_LEAST_PACE = 1e-9


@dataclass(frozen=True, slots=True)
class Reference:
    """What stated weeks to flower mean: the need of the plant, wherever it is carried.

    Attributes:
        warmth: mean degree-days of a day of the reference weeks [deg C d].
        pace: by sensitivity, the summed pace of the reference weeks, shape (kinds,) as in `KINDS` [reference days].
        emerged: by sensitivity, the share of the way gone when a reference sowing comes up, shape (kinds,).
    """

    warmth: float
    pace: npt.NDArray[np.float64]
    emerged: npt.NDArray[np.float64]

    def __post_init__(self) -> None:
        assert self.warmth > 0, "progress is divided by the warmth of the reference"
        assert self.pace.shape == (len(KINDS),), "one pace for each sensitivity"


def kinds_of(life_cycle: LifeCycle) -> npt.NDArray[np.intp]:
    """How the sensitivities of a kind stand in `KINDS`, each equally likely.

    Args:
        life_cycle: of the kind.

    Returns:
        Positions in `KINDS`, shape (SENSITIVITY_ROWS,), rising.

    Source: chosen on published dates of other places and on hindcasts; hardy annuals follow warmth more.
    """
    found = HARDY_SENSITIVITIES if life_cycle is LifeCycle.HARDY_ANNUAL else SENSITIVITIES
    return np.array([KINDS.index(sensitivity) for sensitivity in found], dtype=np.intp)


def under_cover(
    min_c: npt.NDArray[np.float32], max_c: npt.NDArray[np.float32]
) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]:
    """The day's extremes under an unheated roof that is opened on warm days.

    Args:
        min_c: daily minimum outdoors, any shape [deg C].
        max_c: daily maximum outdoors, same shape [deg C].

    Returns:
        Minimum and maximum under the roof, same shape [deg C].

    Source: minimum + 1.5; maximum + 8, vented at 27 and never less than 2 warmer (from memory; the 8 is chosen on
    published dates of tunnels).
    """
    rise = np.clip(COVER_VENTED_C - max_c, *COVER_MAX_RISE_C)
    return min_c + np.float32(COVER_MIN_RISE_C), np.asarray(max_c + rise, dtype=np.float32)


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
    """The reference that makes the stated weeks come back for a reference sowing in the mean of some years.

    Args:
        warmth: degree-days from the reference sow day on, shape (years, days) [deg C d].
        light: short-day factor of the same days, shape (days,).
        weeks: weeks from sowing to flower [weeks].
        germination_days: mean days from sowing to emergence in a reference sowing [d].

    Returns:
        The reference.

    Source: the rate below, summed over the reference weeks and averaged over years.
    """
    assert warmth.shape[1] == len(light), "warmth and light of the same days"
    days = min(max(1, round(weeks * 7)), warmth.shape[1])
    mean_warmth = max(float(warmth[:, :days].mean()), _LEAST_PACE)
    sums = np.empty(len(KINDS))
    emerged = np.empty(len(KINDS))
    up = min(days, max(0, round(germination_days)))
    # The pace is a straight line in the sensitivity, so the two ends give every kind between them.
    paces = [
        daily_pace(warmth[:, :days], light[:days], reference_warmth=mean_warmth, sensitivity=end) for end in (0.0, 1.0)
    ]
    whole = [float(pace.sum(axis=1).mean()) for pace in paces]
    early = [float(pace[:, :up].sum(axis=1).mean()) for pace in paces]
    for row, a in enumerate(KINDS):
        sums[row] = max((1 - a) * whole[0] + a * whole[1], _LEAST_PACE)
        emerged[row] = ((1 - a) * early[0] + a * early[1]) / sums[row]
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
    taken over kinds that follow warmth, the calendar or both, and that published dates of other places do.
    """
    q = warmth.astype(np.float64) / reference_warmth
    return np.asarray(
        light * ((1 - sensitivity) * np.minimum(1, q / FULL_PACE_WARMTH) + sensitivity * q), dtype=np.float64
    )


def cumulative_progress(
    warmth: npt.NDArray[np.float32], light: npt.NDArray[np.float32], reference: Reference
) -> npt.NDArray[np.float64]:
    """Progress towards the first stem, for each weather year and kind of sensitivity; 1 is a mean plant's first stem.

    Args:
        warmth: degree-days where the batch stands, shape (years, days) [deg C d].
        light: short-day factor, shape (days,).
        reference: of the same crop.

    Returns:
        Progress made before each day, shape (years, kinds, days + 1), kinds as in `KINDS`; column 0 is 0.

    Source: the sum of `daily_pace`, over the reference's.
    """
    years, days = warmth.shape
    assert light.shape == (days,), "light of the same days as the warmth"
    q = warmth * np.float32(1 / reference.warmth)
    free = np.cumsum(light * q, axis=1, dtype=np.float64)
    np.minimum(np.float32(1), q / np.float32(FULL_PACE_WARMTH), out=q)
    capped = np.cumsum(light * q, axis=1, dtype=np.float64)
    progress = np.zeros((years, len(KINDS), days + 1))
    for kind, sensitivity in enumerate(KINDS):
        pace = reference.pace[kind]
        made = progress[:, kind, 1:]
        np.multiply(capped, (1 - sensitivity) / pace, out=made)
        made += free * (sensitivity / pace)
    return progress


def laid_end_to_end(progress: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Rows of progress as one rising row, so that one search serves all of them.

    Args:
        progress: rising rows, shape (..., days); held at 1023.

    Returns:
        Shape (rows, days): 1024 more in each row than in the one before.

    Source: definition.
    """
    rows = progress.reshape(-1, progress.shape[-1])
    assert not rows[:, 0].any(), "no progress is made before the first day"
    # The row of a season is kept in two bytes when it is sorted.
    assert len(rows) <= np.iinfo(np.int16).max, "a table of progress has fewer than 32,768 rows"
    return np.asarray(np.minimum(rows, _ROW_APART - 1) + _ROW_APART * np.arange(len(rows))[:, None], dtype=np.float64)


def first_day_reached(
    laid: npt.NDArray[np.float64], rows: npt.NDArray[np.intp], enough: npt.NDArray[np.float64]
) -> npt.NDArray[np.intp]:
    """The first day before which enough progress has been made.

    Args:
        laid: what `laid_end_to_end` gave, shape (rows, days + 1).
        rows: the row of each season, shape (seasons,).
        enough: the progress wanted, on the scale of `laid`, shape (seasons,).

    Returns:
        Day offsets, shape (seasons,); days + 1 where that much is not reached.

    Source: definition.
    """
    assert rows.shape == enough.shape, "one row and one wanted progress for each season"
    width = laid.shape[1]
    # Season after season of one row finds that row still in the processor's cache.
    order = rows.astype(np.int16).argsort(kind="stable")
    found = np.empty(rows.shape, dtype=np.intp)
    found[order] = laid.ravel().searchsorted(enough[order])
    found -= rows * width
    return np.asarray(np.minimum(np.maximum(found, 0), width), dtype=np.intp)
