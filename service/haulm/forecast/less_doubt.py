"""What could be promised of some batches, were less of their figures in doubt.

Less is doubted of the very same seasons, so nothing is drawn again. Competition for the stems is left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import log

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubted import doubted_need, doubted_stems, is_doubted
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.parts_of_doubt import Part
from haulm.forecast.percentiles import quantiles
from haulm.forecast.seasons import Seasons

WEEK_DAYS = 7

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Window:
    """Some days on which stems become ready: the first and the day after the last, numbers in the span."""

    start: int
    stop: int


def sure_stems(stems: FloatArray, seasons: Seasons, level: float) -> float:
    """Stems of a window that there are in so many seasons.

    Args:
        stems: what becomes ready in the window, shape (seasons,).
        seasons: with weights.
        level: how sure they are to be, 0 to 1.

    Returns:
        Stems, were nobody else served.

    Source: the quantile at 1 - level.
    """
    return float(quantiles(stems[None, :], (1 - level,), seasons.weights)[0, 0])


def part_of(sowing: Sowing, seasons: Seasons, window: Window) -> tuple[FloatArray, ...]:
    """What one batch adds to the stems that become ready in a window, season by season.

    Args:
        sowing: the batch.
        seasons: the seasons.
        window: the days.

    Returns:
        Stems, not rounded, shape (seasons,), of each of its growings.

    Source: the harvest curve from the first day on, nothing from the killing day on.
    """
    return tuple(_ready_in(latent, window) for latent in latents(sowing, seasons))


def together(parts: Iterable[Iterable[FloatArray]], seasons: Seasons) -> FloatArray:
    """The stems of a window of which batches give these parts, shape (seasons,)."""
    total = np.zeros(len(seasons.weather_row))
    for part in parts:
        for stems in part:
            total += stems
    return np.maximum(total, 0)


def richest_week(sowings: Iterable[Sowing], seasons: Seasons) -> Window:
    """The week from today on in which some batches give most on average.

    Args:
        sowings: the batches.
        seasons: with weights.

    Returns:
        Seven days, a whole number of weeks from today.

    Source: definition.
    """
    found = [latent for sowing in sowings for latent in latents(sowing, seasons)]
    today = seasons.span.index(seasons.setting.today)
    weeks = [Window(day, day + WEEK_DAYS) for day in range(today, seasons.span.days, WEEK_DAYS)]

    def mean(week: Window) -> float:
        return float(together([[_ready_in(latent, week) for latent in found]], seasons) @ seasons.weights)

    return max(weeks, key=mean)


def _ready_in(latent: Latent, window: Window) -> FloatArray:
    return _passed(latent, window.stop) - _passed(latent, max(window.start, latent.taken_until + 1))


def narrowed(sowing: Sowing, seasons: Seasons, part: Part, *, spread: float) -> Sowing:
    """A batch of which less is doubted, every season keeping its place.

    Args:
        sowing: the batch.
        seasons: for what is drawn of its kind, and what was learnt.
        part: the weeks or the stems.
        spread: the whole spread that is left of the figure; 0 takes the doubt away.

    Returns:
        The batch; its figure's mean (of weeks: of their logarithm) stays. As it was where it is doubted less.

    Source: deviations from the mean of the seasons, scaled.
    """
    is_need = part is Part.WEEKS
    doubt = sowing.doubt.need if is_need else sowing.doubt.stems
    if not is_doubted(doubt):
        return sowing
    off = np.asarray(doubted_need(sowing, seasons) if is_need else doubted_stems(sowing, seasons))
    mean = float(off @ seasons.weights)
    now = float(np.sqrt((off - mean) ** 2 @ seasons.weights))
    if now <= spread:
        return sowing
    kept = spread / now
    less = FigureDoubt(doubt.shift, doubt.kind_sd * kept, doubt.variety_sd * kept)
    if is_need:
        less = replace(less, shift=(1 - kept) * mean + kept * doubt.shift)
        return replace(sowing, doubt=replace(sowing.doubt, need=less))
    after = replace(sowing, doubt=replace(sowing.doubt, stems=less))
    before, then = (
        float(np.exp(np.broadcast_to(each, off.shape)) @ seasons.weights)
        for each in (off, doubted_stems(after, seasons))
    )
    lost = log(before) - log(then)
    return replace(after, doubt=replace(after.doubt, stems=replace(less, shift=less.shift + lost)))


def _passed(latent: Latent, stop: int) -> FloatArray:
    """Stems ready before a day, shape (seasons,)."""
    first = latent.first_day.astype(np.intp) + latent.ready_after_days
    end = np.minimum(stop, latent.kill_day.astype(np.intp) + latent.ready_after_days)
    passed = np.clip(end - first, 0, latent.curves.shape[1] - 1)
    return np.asarray(latent.total * latent.curves[latent.curve, passed], dtype=np.float64)
