"""Days that are long enough: for a first stem, and for stems to rise from a rosette."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from haulm.forecast.seasons import Seasons
from haulm.horticulture.daylight import EARLIEST_SLOWING_HOURS


def first_ten_hour_day(seasons: Seasons) -> npt.NDArray[np.intp]:
    """For each day of the span, the first from it on with ten hours of light: `first_long_day`.

    Args:
        seasons: for its day lengths.

    Returns:
        Day numbers, shape (days + 1,).

    Source: the ten-hour rule is common practice.
    """
    return first_long_day(seasons, EARLIEST_SLOWING_HOURS)


def first_long_day(seasons: Seasons, hours: float) -> npt.NDArray[np.intp]:
    """For each day of the span, and the one after it, the first from it on that is long enough.

    Args:
        seasons: for its day lengths; with daylight switched off every day is long enough.
        hours: the length wanted [h].

    Returns:
        Day numbers, shape (days + 1,); the span's end where none follows.

    Source: definition.
    """
    if hours not in seasons.long_from:
        days = np.arange(seasons.span.days + 1)
        is_long = (seasons.hours >= hours) | (not seasons.setting.daylight)
        # The day after the last counts as long enough, so that every search ends.
        found = np.where(np.append(is_long, True), days, seasons.span.days)
        seasons.long_from[hours] = np.minimum.accumulate(found[::-1])[::-1]
    return seasons.long_from[hours]
