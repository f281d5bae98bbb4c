"""Daylight: hours between sunrise and sunset, and how far short days slow growth.

Not for twilight or light sums. Latitude north is positive.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

SUN_ALTITUDE_DEG = -0.8333
EARLIEST_SLOWING_HOURS = 10.0
NO_GROWTH_HOURS = 8.0
SHORT_DAY_FLOOR = 0.1
LONG_DAY_HOURS = 14.0
LONG_DAY_FLOOR = 0.5

_EPOCH = np.datetime64("2000-01-01", "D")
# At the pole the cosine of the latitude is 0, and the hour angle is divided by it.
_POLE_GUARD_DEG = 89.9
_TURN_DEG_A_DAY = 360.9856473


def daylight_hours(
    days: npt.NDArray[np.datetime64], *, latitude_deg: float, longitude_deg: float = 0.0
) -> npt.NDArray[np.float64]:
    """Hours from sunrise to sunset: upper limb of the sun, with refraction, at a level horizon.

    Args:
        days: dates, any shape, datetime64[D].
        latitude_deg: latitude, north positive [deg].
        longitude_deg: longitude, east positive [deg]; moves the answer by seconds only.

    Returns:
        Day length, same shape, 0 to 24 [h].

    Valid: within half a minute of a full ephemeris to latitude 60, one minute to 65.
    Source: low-precision solar coordinates of the Astronomical Almanac (section C); sunrise altitude -50 arc
    minutes (almanac convention). The sun's own eastward motion, d(right ascension)/dt, sets the pace of the hour
    angle.
    """
    n = (days.astype("datetime64[D]") - _EPOCH).astype(np.float64) - longitude_deg / 360
    anomaly = np.radians(357.528 + 0.9856003 * n)
    ecliptic = np.radians(280.460 + 0.9856474 * n + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    sin_dec = np.sin(np.radians(23.439 - 4e-7 * n)) * np.sin(ecliptic)
    cos_dec = np.sqrt(1 - sin_dec**2)
    phi = np.radians(np.clip(latitude_deg, -_POLE_GUARD_DEG, _POLE_GUARD_DEG))
    altitude = np.sin(np.radians(SUN_ALTITUDE_DEG))
    cosine = (altitude - np.sin(phi) * sin_dec) / (np.cos(phi) * cos_dec)
    along = 0.9856474 + np.radians(0.9856003) * (1.915 * np.cos(anomaly) + 0.040 * np.cos(2 * anomaly))
    eastward = along * np.cos(np.radians(23.439)) / cos_dec**2
    hours_a_degree = 24 / (_TURN_DEG_A_DAY - eastward)
    # Beyond -1 and 1 the sun doesn't set or doesn't rise on that day.
    hours = 2 * np.degrees(np.arccos(np.clip(cosine, -1, 1))) * hours_a_degree
    return np.asarray(np.clip(hours, 0, 24), dtype=np.float64)


def fao56_daylight_hours(day_of_year: npt.NDArray[np.float64], *, latitude_deg: float) -> npt.NDArray[np.float64]:
    """Hours between the sun's centre crossing a horizon without air: shorter than the daylight one sees.

    Args:
        day_of_year: 1 on 1 January, any shape.
        latitude_deg: latitude, north positive [deg].

    Returns:
        Day length, same shape, 0 to 24 [h].

    Valid: as a check against published tables; up to half an hour short of sunrise-to-sunset at latitude 60.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equations 24, 25 and 34.
    """
    declination = 0.409 * np.sin(2 * np.pi * day_of_year / 365 - 1.39)
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination)
    return np.asarray(24 / np.pi * np.arccos(np.clip(cosine, -1, 1)), dtype=np.float64)


def short_day_factor(hours: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The share of its usual pace at which a plant develops on a day of this length.

    Args:
        hours: day length, any shape [h].

    Returns:
        Factor, same shape: 1 at 10 h and above, 0.1 at 8 h and below, a straight line between.

    Source: the ten-hour rule is common practice; shape and floor are from memory.
    """
    span = EARLIEST_SLOWING_HOURS - NO_GROWTH_HOURS
    rise = SHORT_DAY_FLOOR + (1 - SHORT_DAY_FLOOR) * (hours - NO_GROWTH_HOURS) / span
    return np.asarray(np.clip(rise, SHORT_DAY_FLOOR, 1), dtype=np.float64)


def long_day_factor(hours: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The share of its full pace at which a long-day kind moves towards flowering on a day of this length.

    Args:
        hours: day length, any shape [h].

    Returns:
        Factor, same shape: 1 at 14 h and above, 0.5 at 10 h and below, a straight line between.

    Valid: hardy annuals, most of which flower sooner in long days; it multiplies `short_day_factor`.
    Source: figures from memory. Floors of 0.3 and 0.5 fit published dates of other places equally well; with 0.5 the
    error doesn't grow with the warmth of the place.
    """
    rise = LONG_DAY_FLOOR + (1 - LONG_DAY_FLOOR) * (hours - EARLIEST_SLOWING_HOURS) / (
        LONG_DAY_HOURS - EARLIEST_SLOWING_HOURS
    )
    return np.asarray(np.clip(rise, LONG_DAY_FLOOR, 1), dtype=np.float64)
