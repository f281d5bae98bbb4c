"""Single cut: one stem a plant, the bed ready within two or three weeks."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

SHORTEST, USUAL, LONGEST = 12, 18, 24


def daily_shares(days: int) -> npt.NDArray[np.float64]:
    """The share of all stems that becomes ready on each day, a single hump.

    Args:
        days: length of the harvest [d], at least 1.

    Returns:
        Shares, shape (days,), never negative, summing to 1.

    Source: from memory; no open series of daily stem counts was found.
    """
    u = (np.arange(days) + 0.5) / days
    shape = (u * (1 - u)) ** 2
    return np.asarray(shape / shape.sum(), dtype=np.float64)
