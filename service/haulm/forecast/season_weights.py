"""Weights of seasons from their log-likelihoods."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def weights_of(logs: FloatArray) -> FloatArray:
    """Weights that add up to 1.

    Args:
        logs: logarithms up to a constant, shape (seasons,).

    Returns:
        Shape (seasons,).

    Source: definition.
    """
    best = logs.max()
    assert np.isfinite(best), "some season fits what was recorded"
    # Only ratios count; with the best at 0 nothing overflows.
    shares = np.exp(logs - best)
    return np.asarray(shares / shares.sum(), dtype=np.float64)


def effective_seasons(weights: FloatArray) -> float:
    """How many equal seasons are worth as much as these.

    Args:
        weights: adding up to 1, shape (seasons,).

    Returns:
        1 to the number of seasons.

    Source: Kish (1965), Survey Sampling: 1 / sum of squares.
    """
    return float(1 / np.sum(weights**2))


def log_mean(logs: FloatArray) -> FloatArray:
    """The logarithm of the mean of shares.

    Args:
        logs: logarithms of shares, shape (n, seasons).

    Returns:
        Shape (seasons,).

    Source: definition.
    """
    best = logs.max(axis=0)
    return np.asarray(best + np.log(np.exp(logs - best).mean(axis=0)), dtype=np.float64)
