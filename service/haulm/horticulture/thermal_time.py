"""Thermal time: degree-days from a day's lowest and highest temperature, by three published methods.

The forecast uses the single sine; the other two are what many published tables use.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

# A day without a range would divide by 0.
_LEAST_AMPLITUDE = 1e-6


def degree_days(
    min_c: npt.ArrayLike, max_c: npt.ArrayLike, *, base_c: float, upper_c: float | None = None
) -> npt.NDArray[np.float64]:
    """Warmth above a base, day by day, by the single sine with a horizontal cutoff.

    Args:
        min_c: daily minimum, any shape [deg C].
        max_c: daily maximum, same shape [deg C].
        base_c: below it the crop makes no progress [deg C].
        upper_c: above it more warmth adds nothing; None for no limit [deg C].

    Returns:
        Degree-days, same shape, never negative [deg C d]. Any one unit of temperature works throughout.

    Source: Baskerville and Emin (1969), Ecology 50, 514-517; cutoffs as UC IPM, Degree-days and phenology models.
    """
    assert upper_c is None or base_c < upper_c, "warmth counts between the base and the upper limit"
    low = np.asarray(min_c, dtype=np.float64)
    high = np.asarray(max_c, dtype=np.float64)
    assert low.shape == high.shape, "a lowest and a highest temperature of each day"
    # Cut off horizontally: what lies above the limit is taken away again, as if the day had stopped there.
    warmth = _sine_above(low, high, base_c)
    if upper_c is not None:
        warmth = warmth - _sine_above(low, high, upper_c)
    return np.asarray(np.maximum(0, warmth), dtype=np.float64)


def mean_degree_days(min_c: npt.ArrayLike, max_c: npt.ArrayLike, *, base_c: float) -> npt.NDArray[np.float64]:
    """Warmth above a base by the simple average of the day's extremes.

    Args:
        min_c: daily minimum, any shape [deg C].
        max_c: daily maximum, same shape [deg C].
        base_c: below it the crop makes no progress [deg C].

    Returns:
        Degree-days, same shape, never negative [deg C d].

    Valid: days whose minimum is above the base; elsewhere it understates warmth.
    Source: McMaster and Wilhelm (1997), Agric. For. Meteorol. 87, 291-300, method 1.
    """
    mean = (np.asarray(min_c, dtype=np.float64) + np.asarray(max_c, dtype=np.float64)) / 2
    return np.asarray(np.maximum(0, mean - base_c), dtype=np.float64)


def held_degree_days(
    min_c: npt.ArrayLike, max_c: npt.ArrayLike, *, base_c: float, upper_c: float
) -> npt.NDArray[np.float64]:
    """Warmth by the average after both extremes are held between base and upper limit (the corn rule).

    Args:
        min_c: daily minimum, any shape [deg C].
        max_c: daily maximum, same shape [deg C].
        base_c: both extremes are raised to it [deg C].
        upper_c: both extremes are lowered to it [deg C].

    Returns:
        Degree-days, same shape, never negative [deg C d].

    Source: McMaster and Wilhelm (1997), Agric. For. Meteorol. 87, 291-300, method 2.
    """
    low = np.clip(np.asarray(min_c, dtype=np.float64), base_c, upper_c)
    high = np.clip(np.asarray(max_c, dtype=np.float64), base_c, upper_c)
    return np.asarray((low + high) / 2 - base_c, dtype=np.float64)


def _sine_above(
    low: npt.NDArray[np.float64], high: npt.NDArray[np.float64], threshold: float
) -> npt.NDArray[np.float64]:
    """Area of a sine day above a threshold, as a daily mean [deg C d].

    Only a day that crosses the threshold needs the sine.
    """
    middle = (low + high) / 2
    reach = np.maximum((high - low) / 2, _LEAST_AMPLITUDE)
    found = np.maximum(0.0, middle - threshold).ravel()
    crossing = np.flatnonzero(np.abs(middle - threshold) < reach)
    mean, amplitude = middle.ravel()[crossing], reach.ravel()[crossing]
    sine = (threshold - mean) / amplitude
    theta = np.arcsin(sine)
    area = (mean - threshold) * (np.pi / 2 - theta) + amplitude * np.sqrt(1 - sine**2)
    found[crossing] = area / np.pi
    return np.asarray(found.reshape(middle.shape), dtype=np.float64)
