"""Percentiles: what a count over seasons comes to, by week, and the season to expect."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from haulm.farm.quantities import HAIR
from haulm.farm.weeks import Week

LEVELS = (0.1, 0.5, 0.9)


def quantiles(
    values: npt.NDArray[np.integer | np.floating],
    levels: tuple[float, ...],
    weights: npt.NDArray[np.float64] | None = None,
) -> npt.NDArray[np.float64]:
    """Quantiles over seasons at Weibull positions.

    Args:
        values: shape (n, seasons).
        levels: shares between 0 and 1.
        weights: of the seasons, summing to 1, shape (seasons,); None where all are equal.

    Returns:
        Shape (levels, n), in the unit of the values.

    Source: the i-th of n sorted values stands at i / (n + 1) (Weibull 1939), straight lines between; with weights, at
    cumulative weight times n / (n + 1), n the effective number 1 / sum of squares. With few weather years this keeps
    an 80 % interval honest where the usual positions are too narrow.
    """
    count = values.shape[1]
    assert weights is None or weights.shape == (count,), "a weight for each season"
    assert all(0 <= level <= 1 for level in levels), "a quantile is asked at a share of the seasons"
    if weights is None or np.ptp(weights) == 0:
        wanted = np.clip(np.array(levels) * (count + 1) - 1, 0, count - 1)
        below = wanted.astype(np.intp)
        above = np.minimum(below + 1, count - 1)
        # Parted at the places wanted, which takes a fraction of the time of sorting.
        ordered = np.partition(values, np.unique(np.concatenate([below, above])), axis=1)
        part = (wanted - below)[:, None]
        return np.asarray(ordered[:, below].T * (1 - part) + ordered[:, above].T * part, dtype=np.float64)
    # Equal values stand in the order of their weights, so that the order of the seasons never matters.
    by_weight = np.argsort(weights, kind="stable")
    order = by_weight[np.argsort(values[:, by_weight], axis=1, kind="stable")]
    effective = 1 / np.sum(weights**2)
    positions = np.cumsum(weights[order], axis=1) * effective / (effective + 1)
    ordered = np.take_along_axis(values, order, axis=1)
    rows: list[npt.NDArray[np.float64]] = [
        np.interp(levels, where, row) for where, row in zip(positions, ordered, strict=True)
    ]
    return np.asarray(rows, dtype=np.float64).reshape(len(values), len(levels)).T


def whole_quantiles(
    values: npt.NDArray[np.integer | np.floating],
    levels: tuple[float, ...],
    weights: npt.NDArray[np.float64] | None = None,
) -> npt.NDArray[np.int64]:
    """As `quantiles`, rounded down to whole ones, of shape (levels, n).

    Between stems of equal number a quantile may fall a hair short of it.
    """
    return np.floor(quantiles(values, levels, weights) + HAIR).astype(np.int64)


def week_percentiles(
    stems: npt.NDArray[np.int32], first_day: date, weights: npt.NDArray[np.float64] | None = None
) -> dict[Week, tuple[int, int, int]]:
    """The 10th, 50th and 90th percentile of stems becoming ready in each ISO week.

    Args:
        stems: by day and season, shape (days, seasons) [stems].
        first_day: the date of row 0.
        weights: of the seasons, shape (seasons,); None where all are equal.

    Returns:
        For each week with a day in the stretch, (p10, p50, p90), rounded down [stems].

    Source: `quantiles`.
    """
    weeks = [Week.of(first_day + timedelta(days=day)) for day in range(len(stems))]
    starts = [day for day, week in enumerate(weeks) if day == 0 or week != weeks[day - 1]]
    if not starts:
        return {}
    sums = np.add.reduceat(stems, starts, axis=0)
    found = whole_quantiles(sums, LEVELS, weights)
    return {weeks[start]: (int(a), int(b), int(c)) for start, (a, b, c) in zip(starts, found.T, strict=True)}


def expected_stems(
    stems: npt.NDArray[np.int32], weights: npt.NDArray[np.float64] | None = None, *, share: float = 0.5
) -> npt.NDArray[np.int64]:
    """The season to expect: the median over seasons of cumulative stems, rounded down, as daily stems.

    Args:
        stems: by day and season, shape (days, seasons) [stems].
        weights: of the seasons, shape (seasons,); None where all are equal.
        share: another quantile than the median: at 0.2, four seasons in five have given as much by any day.

    Returns:
        Daily stems, shape (days,), never negative [stems].

    Source: `quantiles` of running sums; only days on which some season has stems are worked out.
    """
    busy = np.flatnonzero(stems.any(axis=1))
    daily = np.zeros(len(stems), dtype=np.int64)
    if len(busy):
        running = np.cumsum(stems[busy], axis=0, dtype=np.int32)
        levels_by_day = whole_quantiles(running, (share,), weights)[0]
        # Between unequal weights the quantile of a later day can be the lower one: no day is told more than it has.
        never_falling = np.minimum.accumulate(levels_by_day[::-1])[::-1]
        daily[busy] = np.diff(never_falling, prepend=0)
    return daily
