"""Frost dates worked out from the weather years, for a farm that has given temperatures but no dates of its own."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import numpy.typing as npt

from haulm.forecast.inputs import DateLevels
from haulm.forecast.percentiles import LEVELS, quantiles
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR, Basis, Span

HALF_A_YEAR_DAYS = 183
LEAST_SHARE_WITH_FROST = 0.5


def usual_frost_dates(seasons: Seasons) -> tuple[DateLevels | None, DateLevels | None]:
    """The last spring and first autumn air frost (0 deg C or below), as levels over the weather years.

    Args:
        seasons: for the weather years; what was measured this year is left out.

    Returns:
        Last spring frost and first autumn frost, each None where fewer than half of the years have one, or where no
        temperatures are known.

    Source: definition; levels at Weibull positions.
    """
    if seasons.weather.basis is Basis.WEEKS:
        return None, None
    # Half a year to either side of midsummer, so that every frost is one of spring or one of autumn.
    middle = int(seasons.midsummer[THIS_YEAR])
    spring = seasons.weather.usual_min_c[:, middle - HALF_A_YEAR_DAYS : middle] <= 0
    autumn = seasons.weather.usual_min_c[:, middle : middle + HALF_A_YEAR_DAYS] <= 0
    last = middle - 1 - np.argmax(spring[:, ::-1], axis=1)
    first = middle + np.argmax(autumn, axis=1)
    spring_levels = _levels(last[spring.any(axis=1)], spring, seasons.span)
    return spring_levels, _levels(first[autumn.any(axis=1)], autumn, seasons.span)


def _levels(days: npt.NDArray[np.intp], frosty: npt.NDArray[np.bool_], span: Span) -> DateLevels | None:
    if len(days) < max(1, LEAST_SHARE_WITH_FROST * len(frosty)):
        return None
    found = [span.first + timedelta(days=round(float(day))) for day in quantiles(days[None, :], LEVELS)[:, 0]]
    p10, p50, p90 = ((day.month, day.day) for day in found)
    return DateLevels(p10, p50, p90)
