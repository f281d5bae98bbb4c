"""Cut and come again: plants that grow new saleable stems after each cut, until frost."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

SHORTEST, USUAL, LONGEST = 70, 95, 120
FULL_AFTER_DAYS = 14
HALVING_DAYS = 75


def daily_shares(days: int) -> npt.NDArray[np.float64]:
    """The share of all stems that becomes ready on each day: two weeks of rise, then a slow decline.

    Args:
        days: length of the harvest [d], at least 1.

    Returns:
        Shares, shape (days,), never negative, summing to 1.

    Source: from memory; no open series of daily stem counts was found.
    """
    k = np.arange(1, days + 1)
    shape = np.minimum(1, k / FULL_AFTER_DAYS) * 2.0 ** (-k / HALVING_DAYS)
    return np.asarray(shape / shape.sum(), dtype=np.float64)
