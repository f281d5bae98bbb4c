"""Flush: a crowd of stems early, then a long tail."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

SHORTEST, USUAL, LONGEST = 28, 39, 50


def daily_shares(days: int) -> npt.NDArray[np.float64]:
    """The share of all stems that becomes ready on each day: a quick rise, a slow fall.

    Args:
        days: length of the harvest [d], at least 1.

    Returns:
        Shares, shape (days,), never negative, summing to 1.

    Source: from memory; no open series of daily stem counts was found.
    """
    u = (np.arange(days) + 0.5) / days
    shape = u**1.5 * np.exp(-5 * u)
    return np.asarray(shape / shape.sum(), dtype=np.float64)
