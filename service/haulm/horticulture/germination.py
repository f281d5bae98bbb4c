"""Germination: how long seed takes to come up, and how many places come up."""

from __future__ import annotations

from math import sqrt

import numpy as np
import numpy.typing as npt

SPREAD_OUTDOORS = 0.40
SPREAD_HEATED = 2 / 7
HEATED_SHARE_OF_DAYS = 0.7
LONGEST_BENCH_DAYS = 14
BETA_STRENGTH = 20.0
SURVIVE_TO_PLANTING = 0.9


def germination_delay(mean_days: float, spread: float, z: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Days from sowing to emergence, gamma distributed, as a rising function of a normal score.

    Args:
        mean_days: mean delay [d].
        spread: standard deviation over mean; 0.40 outdoors, 0.29 on a heated bench.
        z: standard normal scores, shape (seasons,).

    Returns:
        Delays, same shape, never negative [d].

    Source: mean 10, sd 4 days outdoors and 7, 2 heated are from memory; gamma from normal by Wilson and Hilferty
    (1931), PNAS 17, 684-688.
    """
    shape = spread**-2
    # The approximation falls below 0 for the earliest seeds; a delay can't.
    root = np.maximum(0, z * (1 / (3 * sqrt(shape))) + (1 - 1 / (9 * shape)))
    return np.asarray(mean_days * root * root * root, dtype=np.float64)


def germination_share(mean_share: float, rng: np.random.Generator, seasons: int) -> npt.NDArray[np.float64]:
    """The share of places that come up, season by season.

    Args:
        mean_share: from the packet or the farm's own counts, 0 to 1.
        rng: the batch's own draws.
        seasons: number of seasons.

    Returns:
        Shares, shape (seasons,), 0 to 1.

    Source: beta distribution worth 20 counted seeds; the 20 is from memory.
    """
    assert 0 <= mean_share <= 1, "a share of places comes up"
    if mean_share in (0, 1):
        # A beta distribution has no parameters for what is certain.
        return np.full(seasons, float(mean_share))
    return np.asarray(rng.beta(BETA_STRENGTH * mean_share, BETA_STRENGTH * (1 - mean_share), seasons))
