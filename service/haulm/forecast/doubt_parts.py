"""What stems are unsure for: how much of the doubt each of its parts makes, and what less of it would let one promise.

Each part is taken away from the very same seasons, so nothing is drawn again. Competition for the stems is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from enum import StrEnum
from math import log

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubted import doubted_need, doubted_stems, is_doubted
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.percentiles import quantiles
from haulm.forecast.seasons import Seasons

WEEK_DAYS = 7

FloatArray = npt.NDArray[np.float64]


class DoubtPart(StrEnum):
    """A part of the doubt: figures of a kind, bad seasons, dead lots, and what weather, luck and plants leave open."""

    WEEKS = "weeks"
    STEMS = "stems"
    BAD_SEASONS = "bad_seasons"
    DEAD_LOTS = "dead_lots"
    SEASON = "season"


TAKEN_AWAY = (DoubtPart.WEEKS, DoubtPart.STEMS, DoubtPart.BAD_SEASONS, DoubtPart.DEAD_LOTS)


@dataclass(frozen=True, slots=True)
class DoubtShare:
    """What share of the doubt a part makes, 0 to 1; those of all parts add up to 1."""

    part: DoubtPart
    share: float


@dataclass(frozen=True, slots=True)
class Window:
    """Some days on which stems become ready: the first and the day after the last, numbers in the span."""

    start: int
    stop: int


def doubt_parts(sowings: Sequence[Sowing], seasons: Seasons, window: Window) -> tuple[DoubtShare, ...]:
    """What the stems that some batches make ready in a window are unsure for.

    Args:
        sowings: the batches, with what was seen of them.
        seasons: with weights and what was learnt.
        window: the days.

    Returns:
        The parts, the largest first; none where there are no stems to doubt.

    Source: the mean distance from the mean, over the mean: how far it falls when a part is taken away, in proportion,
    up to what all of them together take; the rest is the season's. A figure taken away stands at its mean.
    """
    weights = seasons.weights
    now = _unsure(stems_in(sowings, seasons, window), weights)
    if now <= 0:
        return ()
    gains = {part: max(0.0, now - _unsure(_without(sowings, seasons, window, {part}), weights)) for part in TAKEN_AWAY}
    together = max(0.0, now - _unsure(_without(sowings, seasons, window, set(TAKEN_AWAY)), weights))
    apart = sum(gains.values())
    shares = {part: gain / apart * together / now if apart > 0 else 0.0 for part, gain in gains.items()}
    shares[DoubtPart.SEASON] = 1 - sum(shares.values())
    return tuple(sorted((DoubtShare(*one) for one in shares.items()), key=lambda one: -one.share))


def sure_stems(sowings: Sequence[Sowing], seasons: Seasons, window: Window, *, level: float) -> float:
    """Stems of some batches that become ready in a window in so many seasons.

    Args:
        sowings: the batches.
        seasons: with weights.
        window: the days.
        level: how sure they are to be, 0 to 1.

    Returns:
        Stems, were nobody else served.

    Source: the quantile at 1 - level.
    """
    stems = stems_in(sowings, seasons, window)
    return float(quantiles(stems[None, :], (1 - level,), seasons.weights)[0, 0])


def stems_in(sowings: Iterable[Sowing], seasons: Seasons, window: Window) -> FloatArray:
    """Stems that some batches make ready in a window, season by season.

    Args:
        sowings: the batches.
        seasons: the seasons.
        window: the days.

    Returns:
        Stems, not rounded, shape (seasons,).

    Source: the harvest curve from the first day on, nothing from the killing day on.
    """
    return _stems([latent for sowing in sowings for latent in latents(sowing, seasons)], seasons, window)


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
    return max(weeks, key=lambda week: float(_stems(found, seasons, week) @ seasons.weights))


def _stems(found: Iterable[Latent], seasons: Seasons, window: Window) -> FloatArray:
    total = np.zeros(len(seasons.weather_row))
    for latent in found:
        total += _passed(latent, window.stop) - _passed(latent, max(window.start, latent.taken_until + 1))
    return np.maximum(total, 0)


def narrowed(sowing: Sowing, seasons: Seasons, part: DoubtPart, *, spread: float) -> Sowing:
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
    is_need = part is DoubtPart.WEEKS
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


def _without(sowings: Iterable[Sowing], seasons: Seasons, window: Window, parts: AbstractSet[DoubtPart]) -> FloatArray:
    """Stems in a window with parts of the doubt taken away, shape (seasons,)."""
    for part in parts & {DoubtPart.WEEKS, DoubtPart.STEMS}:
        sowings = [narrowed(sowing, seasons, part, spread=0.0) for sowing in sowings]
    setting = seasons.setting
    if DoubtPart.BAD_SEASONS in parts:
        setting = replace(setting, bad_share=0.0)
    if DoubtPart.DEAD_LOTS in parts:
        setting = replace(setting, dead_lot_share=0.0)
    return stems_in(sowings, replace(seasons, setting=setting), window)


def _unsure(stems: FloatArray, weights: FloatArray) -> float:
    """The mean distance from the mean, over the mean; nought where there are no stems."""
    mean = float(stems @ weights)
    return float(np.abs(stems - mean) @ weights) / mean if mean > 0 else 0.0


def _passed(latent: Latent, stop: int) -> FloatArray:
    """Stems ready before a day, shape (seasons,)."""
    first = latent.first_day.astype(np.intp) + latent.ready_after_days
    end = np.minimum(stop, latent.kill_day.astype(np.intp) + latent.ready_after_days)
    passed = np.clip(end - first, 0, latent.curves.shape[1] - 1)
    return np.asarray(latent.total * latent.curves[latent.curve, passed], dtype=np.float64)
