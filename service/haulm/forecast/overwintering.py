"""What a winter leaves of a batch: the share of its plants that live, worked out once for each weather year.

Within a weather year all seasons have the same nights, and a batch's own pace moves the stage at which frost finds it
by days only; so the usual pace stands for all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.words import LifeCycle, Method
from haulm.forecast.first_stem import Growing
from haulm.forecast.inputs import Sowing
from haulm.forecast.long_days import first_long_day
from haulm.forecast.plan import Cycle
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import Basis
from haulm.forecast.winter_tables import Nights
from haulm.horticulture.time_to_flower import KINDS, first_day_reached
from haulm.horticulture.winter import (
    HARDENING_A_DAY,
    ROSETTE_BELOW_HOURS,
    SHOOTING_FROM,
    SHOOTING_UNTIL,
    SPREAD_C,
    Hardiness,
    Shelter,
    lives_as_crown,
    stage_hardness,
    survival,
)

_FOLLOW_WINTER = (LifeCycle.HARDY_ANNUAL, LifeCycle.BIENNIAL, LifeCycle.PERENNIAL, LifeCycle.BULB_TUBER)
_IN_TRAYS = (Method.HEATED, Method.COVER, Method.PLUGS)
LEAST_OF_WHAT_IS_CUT = 0.1
"""Of a batch that gives stems at least so many plants are taken to live, whatever the winter was (from memory)."""
_SAFE_C = 6 * SPREAD_C
"""A crown so far above what kills half of its kind loses one plant in four hundred: no more is worked out."""
# Temperatures are kept in single precision, in which they are off by far less.
_ROUNDING_C = 0.01


@dataclass(frozen=True, slots=True)
class Stretch:
    """The nights that find a batch outside: the first, and the one after the last."""

    first: int
    stop: int

    def __post_init__(self) -> None:
        assert 0 <= self.first <= self.stop, "nights lie in the calendar and follow each other"


def follows_winter(sowing: Sowing, seasons: Seasons) -> bool:
    """Whether frost takes of a batch what its winter hardiness says, and not so much a night at its level.

    Args:
        sowing: the batch.
        seasons: for what its weather rests on.

    Returns:
        True for hardy kinds, bulbs and tubers on a farm with temperatures; frost dates alone tell of no crown.

    Source: the project's own rule.
    """
    return sowing.crop.life_cycle in _FOLLOW_WINTER and seasons.weather.basis is not Basis.WEEKS


def share_alive(growing: Growing, years: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
    """The share of a batch's plants that live until the midsummer of its first stem.

    Args:
        growing: the batch; plants counted alive are exposed only from tomorrow. Where stems were cut some lived.
        years: the growing year of the first stem, shape (seasons,), or () where all have one.

    Returns:
        Shares, shape (seasons,), or () where no night comes near to harming any.

    Source: `survival`, at the usual pace of each weather year.
    """
    seasons, evidence = growing.seasons, growing.sowing.evidence
    alive: npt.NDArray[np.float64] = np.array(1.0)
    for year in (int(years),) if years.ndim == 0 else np.flatnonzero(np.bincount(years)).tolist():
        found = _by_weather_year(growing, int(seasons.midsummer[year]))
        if found is not None:
            here = found.take(seasons.weather_row)
            alive = here if years.ndim == 0 else np.where(years == year, here, alive)
    is_alive = evidence.first_cut or evidence.ready_by or evidence.cut_so_far
    return np.asarray(np.maximum(alive, LEAST_OF_WHAT_IS_CUT)) if is_alive else alive


def _by_weather_year(growing: Growing, midsummer: int) -> npt.NDArray[np.float64] | None:
    """Shares alive at a midsummer, shape (weather years,); None where all live in every year."""
    crop, seasons = growing.sowing.crop, growing.seasons
    as_crown = lives_as_crown(crop.life_cycle)
    hardiness = Hardiness(crop.soft_c, crop.hardened_c)
    nights = _stretch(growing.sowing, growing.cycle, seasons, midsummer)
    part = slice(nights.first, nights.stop)
    crowns, hardened = seasons.winter.crowns(shelter_of(growing.sowing)), seasons.winter.hardened
    gained_c = crop.soft_c - crop.hardened_c
    surely_hard = hardened.least[part] if as_crown else 0.0
    spare_c = crowns.least[part] - crop.soft_c + gained_c * surely_hard
    if not spare_c.size or spare_c.min() > _SAFE_C:
        return None
    days = worst_nights(crowns, nights, gained_c)
    hard, stage = hardness_on(growing, days)
    return survival(crowns.each[days], hard, hardiness, stage=stage)


def shelter_of(sowing: Sowing) -> Shelter:
    """What stands between the winter and the crowns of a batch.

    Args:
        sowing: the batch.

    Returns:
        Its tunnel, its cover and, for bulbs and tubers, the soil.

    Source: definition.
    """
    return Shelter(sowing.tunnel, sowing.winter_cover, sowing.crop.life_cycle is LifeCycle.BULB_TUBER)


def hardness_on(
    growing: Growing, days: npt.NDArray[np.intp]
) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32] | None]:
    """How far a batch is hardened on some days, and what its stage leaves of that.

    Args:
        growing: the batch.
        days: day numbers, shape (days,).

    Returns:
        Two shares, each shape (days, weather years); None for the second where no stage takes any: crowns.

    Source: `hardening` from when its plants begin to feel the cold, `stage_hardness`.
    """
    hardens_from = _hardens_from(growing.sowing, growing.cycle)
    reached = np.clip((days - hardens_from) * HARDENING_A_DAY, 0, 1).astype(np.float32)
    hard = np.minimum(growing.seasons.winter.hardened.each[days], reached[:, None])
    as_crown = lives_as_crown(growing.sowing.crop.life_cycle)
    return hard, None if as_crown else stage_hardness(days, *_stages(growing))


def worst_nights(crowns: Nights, nights: Stretch, gained_c: float) -> npt.NDArray[np.intp]:
    """The nights of a stretch among which the worst of each weather year is.

    Args:
        crowns: crown temperatures of every night [deg C].
        nights: the stretch; it is not empty.
        gained_c: by how much a hardened plant stands more cold than a soft one [deg C].

    Returns:
        Day numbers, rising, shape (nights,).

    Source: a night on which a soft plant has more to spare than a hardened one has on the coldest is never the worst.
    """
    assert nights.first < nights.stop, "there is a worst night where there is a night"
    least = crowns.least[nights.first : nights.stop]
    coldest = nights.first + int(least.argmin())
    return nights.first + np.flatnonzero(least <= float(crowns.each[coldest].max()) + gained_c + _ROUNDING_C)


def _stretch(sowing: Sowing, cycle: Cycle, seasons: Seasons, midsummer: int) -> Stretch:
    """The nights up to midsummer from planting on; of plants that stand or were counted, from tomorrow on."""
    tomorrow = seasons.span.index(seasons.setting.today) + 1
    first = cycle.plant
    if _stands(sowing, cycle):
        first = tomorrow if sowing.sow_date is None else max(tomorrow, seasons.span.index(sowing.sow_date))
    elif sowing.evidence.plants_alive is not None:
        first = max(first, tomorrow)
    first = max(0, first)
    return Stretch(first, max(first, midsummer))


def _stands(sowing: Sowing, cycle: Cycle) -> bool:
    """Whether it stands from earlier years, so that its growth and not its planting begins the cycle."""
    return sowing.method is Method.ESTABLISHED or (not cycle.seed and cycle.start < cycle.plant)


def _hardens_from(sowing: Sowing, cycle: Cycle) -> int:
    """The day on which its plants begin to feel the cold: what stands or lies in the ground always has."""
    if sowing.method is Method.DIRECT and cycle.seed:
        return cycle.start + round(sowing.crop.germination_days)
    if sowing.method in _IN_TRAYS and not _stands(sowing, cycle):
        return cycle.plant - sowing.crop.harden_days
    return 0


def shows_buds(growing: Growing, day: int) -> bool:
    """Whether a usual plant shows its buds, or has flowered, by some day in half of the weather years.

    Args:
        growing: the batch.
        day: a day number.

    Source: `stage_hardness`: from .8 of its way on nothing of its hardness is left to its stems.
    """
    return bool(np.median(_stages(growing)[1]) <= day)


def _stages(growing: Growing) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """The days on which a usual plant begins to shoot and shows its buds, each shape (weather years,).

    Source: a rosette stays one while days are shorter than twelve hours, however far warmth has brought it: hardy
    annuals and biennials rise with longer days (from memory).
    """
    course, rises = growing.course, first_long_day(growing.seasons, ROSETTE_BELOW_HOURS)
    usual = int(course.kind_of[len(course.kind_of) // 2])
    rows = np.arange(len(course.laid) // len(KINDS)) * len(KINDS) + usual
    made = course.laid[rows, min(course.start, course.last_column)] - course.given[usual]
    enough = np.concatenate([share + made for share in (SHOOTING_FROM, SHOOTING_UNTIL)])
    days = rises.take(course.first + first_day_reached(course.laid, np.tile(rows, 2), enough), mode="clip")
    return days[: len(rows)], days[len(rows) :]
