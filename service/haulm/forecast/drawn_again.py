"""Resampling: new seasons around those that fit the records, where too few of the first draw do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import latents
from haulm.forecast.learnt import learnt_from, log_weights
from haulm.forecast.season_weights import effective_seasons, weights_of
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR

DRAWN_AROUND = 0.25
MOST_ROUNDS = 30

FloatArray = npt.NDArray[np.float64]


def drawn_again(sowings: Sequence[Sowing], seasons: Seasons) -> tuple[Seasons, float]:
    """New seasons around those that fit the records, with equal weights.

    Args:
        sowings: the batches with records.
        seasons: as drawn without evidence.

    Returns:
        The seasons, and the fewest effective seasons of any round.

    Source: in rounds that each keep a quarter of the seasons effective (tempering), weather years are drawn by weight
    and pace and vigour by weight with a kernel that keeps their mean and spread (Liu and West 2001, in Sequential
    Monte Carlo Methods in Practice, ch. 10).
    """
    # A number of its own beside the seed, so that these draws repeat no others.
    rng = np.random.default_rng([seasons.setting.seed, 0xA6A1])
    left, fewest = 1.0, float(len(seasons.weather_row))
    for _ in range(MOST_ROUNDS):
        logs = _all_logs(sowings, seasons)
        power = _largest_power(logs, left)
        weights = weights_of(power * logs)
        fewest = min(fewest, effective_seasons(weights))
        seasons = _around(seasons, weights, rng)
        left -= power
        if left <= 0:
            break
    return learnt_from(sowings, seasons).seasons, fewest


def _all_logs(sowings: Sequence[Sowing], seasons: Seasons) -> FloatArray:
    learnt = learnt_from(sowings, seasons)
    sure = [sowing for sowing in sowings if sowing.key not in learnt.stems.by_batch]
    return log_weights(learnt, [latent for sowing in sure for latent in latents(sowing, learnt.seasons)])


def _largest_power(logs: FloatArray, most: float) -> float:
    """The largest power of the weights, up to a most, that keeps a quarter of the seasons effective."""
    enough = DRAWN_AROUND * len(logs)
    if effective_seasons(weights_of(most * logs)) >= enough:
        return most
    low, high = 0.0, most
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if effective_seasons(weights_of(middle * logs)) >= enough else (low, middle)
    return high


def _around(seasons: Seasons, weights: FloatArray, rng: np.random.Generator) -> Seasons:
    """Seasons drawn by weight, evenly spaced, their shared scores moved by a kernel; weather years stay in order."""
    count = len(weights)
    places = (np.arange(count) + rng.random()) / count
    picked = np.minimum(np.searchsorted(np.cumsum(weights), places), count - 1)
    # Silverman's width for one normal score; held below 1, so that something of the season picked is left.
    width = (4 / (3 * effective_seasons(weights))) ** 0.2
    shrink = np.sqrt(1 - min(width, 0.9) ** 2)
    scores: list[FloatArray] = []
    for score in (seasons.z_pace, seasons.z_vigour):
        mean = float(score @ weights)
        spread = float(np.sqrt(((score - mean) ** 2) @ weights))
        kernel = np.sqrt(1 - shrink**2) * spread * rng.standard_normal(count)
        scores.append(mean + shrink * (score[picked] - mean) + kernel)
    # Records are of this growing year alone, so the others keep their own luck.
    bad = seasons.u_bad.copy()
    bad[THIS_YEAR] = bad[THIS_YEAR, picked]
    rows = seasons.weather_row[picked]
    return replace(seasons, weather_row=rows, z_pace=scores[0], z_vigour=scores[1], u_bad=bad)
