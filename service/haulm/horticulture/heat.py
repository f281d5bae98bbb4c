"""Heat that ends a kind of the cool season: two hot weeks send it to rest."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from haulm.horticulture.frost import NEVER

HOT_DAYS = 14
ASLEEP_DAYS = 60
"""After planting a corm is not yet up, and heat passes over it (from memory)."""


def next_heat(max_c: npt.NDArray[np.float32], level_c: float) -> npt.NDArray[np.int16]:
    """For each day, the first day from it on that ends two weeks whose mean maximum is at or above a level.

    Args:
        max_c: daily maximum, shape (years, days) [deg C].
        level_c: the level [deg C].

    Returns:
        Day indices, shape (years, days); `NEVER` where no such day follows.

    Source: definition; the two weeks are from memory.
    """
    assert HOT_DAYS <= max_c.shape[1] < NEVER, "the calendar holds two weeks and ends before the day that never comes"
    # In double precision, since two weeks are the small difference of two large sums.
    sums = np.cumsum(max_c, axis=1, dtype=np.float64)
    hot = np.zeros(max_c.shape, dtype=np.bool_)
    hot[:, HOT_DAYS - 1] = sums[:, HOT_DAYS - 1] >= HOT_DAYS * level_c
    hot[:, HOT_DAYS:] = sums[:, HOT_DAYS:] - sums[:, :-HOT_DAYS] >= HOT_DAYS * level_c
    hits = np.where(hot, np.arange(max_c.shape[1], dtype=np.int16), np.int16(NEVER))
    return np.asarray(np.minimum.accumulate(hits[:, ::-1], axis=1)[:, ::-1], dtype=np.int16)
