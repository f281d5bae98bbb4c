"""Spring growth on the farm: progress of bulbs, perennials and biennials, and why a winter was not cold enough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.stated import ColdNeed
from haulm.farm.varieties import Crop
from haulm.forecast.reference import (
    ReferenceYears,
    need_of_weeks,
    stated_need,
    stated_young_need,
    winter_days,
    young_need,
)
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import Basis
from haulm.horticulture.spring_growth import WinterDays, cold_had, cold_of_days, growth_starts, spring_warmth
from haulm.horticulture.time_to_flower import KINDS, laid_end_to_end


@dataclass(frozen=True, slots=True)
class Spring:
    """The growing years in which a batch may flower after winter; days are numbers in the span.

    Attributes:
        years: the first of them whose winter gives the cold needed is the one.
        cold: what it needs of winter.
        planted: no cold counts before this day.
        grows_from: growth starts on this day at the earliest, where the grower says so; None for the kind's usual day.
        young: the share of ten weeks in leaf that it still has to make, from `planted` on, before cold counts for it.
        weeks_from: the weeks to flower count from this day.
    """

    years: tuple[int, ...]
    cold: ColdNeed
    planted: int
    weeks_from: int
    grows_from: int | None = None
    young: float = 0.0

    def __post_init__(self) -> None:
        assert self.years, "a batch may flower in some year"
        assert 0 <= self.young <= 1, "a share of the weeks in leaf is still to be made"


@dataclass(frozen=True, slots=True)
class ColdLacking:
    """A winter that doesn't give the cold that a kind needs: usual days had, and days needed."""

    had: int
    needed: int

    def __post_init__(self) -> None:
        assert self.had < self.needed, "what lacks cold has had less than it needs"


def spring_progress(
    crop: Crop, spring: Spring, seasons: Seasons, *, cover: bool
) -> tuple[int, npt.NDArray[np.float64]]:
    """Progress from the start of spring growth to the first stem in every weather year, laid end to end.

    Args:
        crop: the crop.
        spring: when it may flower.
        seasons: for the weather.
        cover: it grows under a roof.

    Returns:
        The first day of the table, and the table: shape (weather years x kinds, days + 1). Progress stays zero where
        no winter is cold enough.

    Source: `growth_starts`, then warmth over the need; how far warmth hastens is not in doubt here, so all kinds of
    sensitivity have the same rows.
    """
    key = (crop.base_c, crop.weeks_to_flower, crop.stated_for, spring, cover)
    return seasons.starts_of(spring.years[0]), seasons.table(key, lambda: _laid(crop, spring, seasons, cover=cover))


def cold_lacking(spring: Spring, seasons: Seasons) -> ColdLacking | None:
    """Why most winters of a place bring no stems of a kind.

    Args:
        spring: when it may flower.
        seasons: for the weather.

    Returns:
        The cold of the middling winter and the cold needed; None where half of the winters or more are cold enough.

    Source: median over weather years of the cold had in time.
    """
    if seasons.weather.basis is Basis.WEEKS:
        return None
    cold = _cold(seasons)
    every = [winter_days(seasons.span, year, spring.cold.grows_from, planted=spring.planted) for year in spring.years]
    winters = [cold[:, days.cold_from : days.cold_by].sum(axis=1, dtype=np.float64) for days in every]
    most = max(float(np.median(had)) for had in winters)
    return None if most >= spring.cold.days else ColdLacking(int(most), round(spring.cold.days))


def _laid(crop: Crop, spring: Spring, seasons: Seasons, *, cover: bool) -> npt.NDArray[np.float64]:
    first = seasons.starts_of(spring.years[0])
    warmth = seasons.warmth(crop.base_c, cover=cover)
    stop = seasons.starts_of(spring.years[-1] + 1)
    made = np.zeros((len(warmth), stop - first + 1))
    waiting = np.ones(len(warmth), dtype=np.bool_)
    for had, days in _winters(crop, spring, seasons, cover=cover):
        starts = _starts(had, days, spring, seasons)
        grown = spring_warmth(warmth[:, first : days.end], np.where(waiting, starts, days.end) - first)
        made[:, : grown.shape[1]] += grown
        made[:, grown.shape[1] :] += grown[:, -1:]
        waiting &= starts >= days.end
        if not waiting.any():
            break
    made /= _need(crop, spring, seasons)
    return laid_end_to_end(np.broadcast_to(made[:, None], (len(made), len(KINDS), made.shape[1])))


def _winters(
    crop: Crop, spring: Spring, seasons: Seasons, *, cover: bool
) -> list[tuple[npt.NDArray[np.float64], WinterDays]]:
    """Of each winter the cold had, shape (weather years, days), and its days."""
    cold = _cold(seasons)
    since = _grown_up(crop, spring, seasons, cover=cover)
    found = [winter_days(seasons.span, year, spring.cold.grows_from, planted=spring.planted) for year in spring.years]
    return [(cold_had(cold, days, since), days) for days in found]


def _cold(seasons: Seasons) -> npt.NDArray[np.float32]:
    """The cold of each day, shape (weather years, days): under a roof too, since bulbs and crowns lie in the ground."""
    return cold_of_days(seasons.weather.min_c, seasons.weather.max_c)


def _starts(had: npt.NDArray[np.float64], days: WinterDays, spring: Spring, seasons: Seasons) -> npt.NDArray[np.intp]:
    """The start of growth in each weather year; with frost dates alone no cold is known, so none is waited for."""
    needed = 0.0 if seasons.weather.basis is Basis.WEEKS else spring.cold.days
    starts = growth_starts(had, days, needed)
    if spring.grows_from is None:
        return starts
    lacking = starts >= days.end
    usual = np.where(starts > days.grows_from, starts, 0)
    return np.where(lacking, days.end, np.maximum(usual, spring.grows_from)).astype(np.intp)


def _grown_up(crop: Crop, spring: Spring, seasons: Seasons, *, cover: bool) -> npt.NDArray[np.intp] | None:
    """The day from which cold counts for a plant from seed, shape (weather years,); None for others."""
    if spring.young <= 0:
        return None
    if crop.stated_for is not None:
        need = spring.young * stated_young_need(crop.stated_for.climate, crop.base_c)
    else:
        need = spring.young * young_need(_here(seasons), seasons.usual_warmth(crop.base_c))
    warmth = seasons.warmth(crop.base_c, cover=cover)[:, spring.planted :]
    return np.asarray(spring.planted + (np.cumsum(warmth, axis=1, dtype=np.float64) < need).sum(axis=1), dtype=np.intp)


def _need(crop: Crop, spring: Spring, seasons: Seasons) -> float:
    weather, weeks = seasons.weather, crop.weeks_to_flower
    if crop.stated_for is not None and weather.basis is not Basis.WEEKS:
        return stated_need(crop.stated_for, spring.cold, base_c=crop.base_c, weeks=weeks)
    cold = ColdNeed(0.0, spring.cold.grows_from) if weather.basis is Basis.WEEKS else spring.cold
    return need_of_weeks(_here(seasons), seasons.usual_warmth(crop.base_c), cold, spring.weeks_from + round(7 * weeks))


def _here(seasons: Seasons) -> ReferenceYears:
    return ReferenceYears(seasons.span, seasons.weather.usual_min_c, seasons.weather.usual_max_c)
