"""When plants really flower on farms of our own: what they need, learned elsewhere, and what drives them.

Written apart from `haulm.forecast`. A kind's need is worked out where its weeks hold (hardy annuals: England from
1 May; half-hardy and tender kinds, gladiolus and dahlia: Ithaca, New York, from 15 May; plants that stand all year: the
date of their first flower in England), never on the farm that is judged. Four drivers, since nobody knows which it is:

    warmth    f(L) [(1 - a) min(1, q / 0.45) + a q], q the day's degree-days over the mean of the reference weeks
    daylight  hours of light from eight up to fourteen, more hasten no further (long-day kinds have such a ceiling)
    calendar  so many weeks; days before 1 April (1 October in the south) count half (the growers' rule)

Plants that stand all year chill, then are forced: the later of 1 March and so many cold days (common practice; figures
from memory). Degree-days are the mean over 48 points of a sine day.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache

import numpy as np
import numpy.typing as npt

from haulm.farm.varieties import Crop
from haulm.farm.words import LifeCycle
from haulm.horticulture.daylight import daylight_hours
from support.true_weather import LANDS, Land, Years, every_year

Days = npt.NDArray[np.float64]

WARMTH, DAYLIGHT, CALENDAR = "warmth", "daylight", "calendar"
SENSITIVITIES = {True: (0.0, 0.5, 1.0, 1.0), False: (0.0, 0.0, 0.5, 1.0)}
"""How far warm days hasten a kind, each as likely; hardy annuals, and others."""
FULL_PACE = 0.45
ENGLAND, ITHACA = LANDS["cambridge"], LANDS["ithaca"]
_LEAST_HOURS, _MOST_HOURS = 8.0, 14.0
_SINE = np.sin(2 * np.pi * (np.arange(48) + 0.5) / 48)


@dataclass(frozen=True, slots=True)
class Standing:
    """A kind that stands all year: base [deg C], cold days it needs, and its first flower in England."""

    base_c: float
    cold_days: float
    flowers: tuple[int, int]


STANDING = {
    "tulip": Standing(2.0, 90.0, (4, 11)),
    "peony": Standing(2.0, 90.0, (5, 31)),
    "achillea": Standing(2.0, 60.0, (6, 21)),
    "sweet_william": Standing(4.0, 60.0, (6, 2)),
}
"""Biennials from their first spring on. Dates from common practice in England; bases and cold days judged."""


@dataclass(frozen=True, eq=False)
class Course:
    """Progress made before each day, in shares of the need, shape (years, days + 1), and the share gone at emergence.

    `begins`: the day before which nothing counts, by year, shape (years,).
    """

    made: Days
    emerged: float
    begins: npt.NDArray[np.int64]


def course(kind: str, crop: Crop, land: Land, years: Years, driver: tuple[str, float]) -> Course:
    """The progress of a kind where it is grown, by what drives it and how far warm days hasten it."""
    if kind in STANDING:
        return _forced(STANDING[kind], land, years, driver[0])
    need, emerged, usual = _needs(crop.life_cycle, crop.base_c, crop.weeks_to_flower, crop.germination_days, driver)
    pace = _pace(crop.life_cycle, land, warmth(years, crop.base_c) / usual, driver)
    begins = np.zeros(len(pace), np.int64)
    return Course(_summed(pace / need), emerged, begins)


def warmth(years: Years, base_c: float) -> Days:
    """Degree-days of sine days between a base and 25 (warm kinds 30) deg C, same shape as the years."""
    upper = 25.0 if base_c <= 6 else 30.0
    middle, half = (years.min_c + years.max_c) / 2, (years.max_c - years.min_c) / 2
    total = np.zeros_like(middle)
    for height in _SINE:
        total += np.clip(middle + half * height, base_c, upper) - base_c
    return total / len(_SINE)


@cache
def _needs(
    life: LifeCycle, base_c: float, weeks: float, germination_days: float, driver: tuple[str, float]
) -> tuple[float, float, float]:
    """What the stated weeks come to at their reference, the share gone at emergence, the mean warmth of a day there."""
    land, start = _reference(life)
    years, first, days = every_year(land), land.index(start), round(7 * weeks)
    if driver[0] == CALENDAR:
        return float(days), germination_days / days, 1.0
    part = slice(first, first + days)
    warm = warmth(Years(years.min_c[:, part], years.max_c[:, part]), base_c)
    usual = float(warm.mean())
    paces = _pace(life, land, warm / usual, driver, part)
    need = float(paces.sum(axis=1).mean())
    return need, float(paces[:, : round(germination_days)].sum(axis=1).mean()) / need, usual


@cache
def degree_days_elsewhere(life: LifeCycle, base_c: float, weeks: float) -> float:
    """Degree-days of the stated weeks where they hold, on days of ten hours or more, the mean over years [deg C d]."""
    land, start = _reference(life)
    years, part = every_year(land), slice(land.index(start), land.index(start) + round(7 * weeks))
    warm = warmth(Years(years.min_c[:, part], years.max_c[:, part]), base_c)
    return float((warm * ten_hours(_hours(land)[part])).sum(axis=1).mean())


@cache
def forcing_elsewhere(kind: Standing) -> float:
    """Degree-days that a kind that stands takes in England from the end of its cold to its date [deg C d]."""
    made = _forcing(kind, ENGLAND, every_year(ENGLAND), WARMTH).made
    return float(made[:, ENGLAND.index(kind.flowers)].mean())


def cold_days(years: Years) -> Days:
    """How much each day's cold counts: 1 up to a mean of 7 deg C, nothing from 12 on, same shape as the years."""
    return np.clip((12 - (years.min_c + years.max_c) / 2) / 5, 0, 1)


def ten_hours(hours: Days) -> Days:
    """The ten-hour rule: slower below ten hours of light, a tenth of the pace at eight."""
    return np.clip(0.1 + 0.9 * (hours - 8) / 2, 0.1, 1)


def _reference(life: LifeCycle) -> tuple[Land, tuple[int, int]]:
    return (ENGLAND, (5, 1)) if life is LifeCycle.HARDY_ANNUAL else (ITHACA, (5, 15))


def _pace(life: LifeCycle, land: Land, q: Days, driver: tuple[str, float], part: slice = slice(None)) -> Days:
    """A day's progress, shape (years, days); `part` says which days of the season these are."""
    name, a = driver
    hours = _hours(land)[part]
    if name == DAYLIGHT:
        return np.broadcast_to(_by_daylight(hours), q.shape)
    if name == CALENDAR:
        spring = land.index((10, 1) if land.south else (4, 1))
        counted = np.where(np.arange(land.days)[part] < spring, 0.5, 1.0)
        return np.broadcast_to(counted, q.shape)
    light = ten_hours(hours)
    if life is LifeCycle.HARDY_ANNUAL:
        light = light * np.clip(0.5 + 0.5 * (hours - 10) / 4, 0.5, 1)
    return np.asarray(light * ((1 - a) * np.minimum(1, q / FULL_PACE) + a * q))


def _by_daylight(hours: Days) -> Days:
    return np.clip((hours - _LEAST_HOURS) / (_MOST_HOURS - _LEAST_HOURS), 0.05, 1.0)


def _forced(kind: Standing, land: Land, years: Years, name: str) -> Course:
    made = _forcing(kind, ENGLAND, every_year(ENGLAND), name).made
    usual = float(made[:, ENGLAND.index(kind.flowers)].mean())
    here = _forcing(kind, land, years, name)
    return Course(here.made / usual, 0.0, here.begins)


def _forcing(kind: Standing, land: Land, years: Years, name: str) -> Course:
    """Progress from the day on which the cold is over, not yet in shares of the need."""
    mean = (years.min_c + years.max_c) / 2
    since = (date(land.first.year, 3, 1) - land.first).days if land.south else land.index((9, 1)) - 365
    chill = cold_days(years)
    chill[:, :since] = 0
    spring = land.index((9, 1)) if land.south else land.index((3, 1))
    met = np.cumsum(chill, axis=1) >= kind.cold_days
    cold = np.where(met.any(axis=1), np.argmax(met, axis=1), land.days)
    begins = np.maximum(cold, spring) if name == WARMTH else np.full(len(mean), spring)
    if name == WARMTH:
        pace = warmth(years, kind.base_c)
    elif name == DAYLIGHT:
        pace = np.broadcast_to(_by_daylight(_hours(land)), mean.shape)
    else:
        pace = np.ones_like(mean)
    pace = np.where(np.arange(land.days) >= begins[:, None], pace, 0.0)
    return Course(_summed(pace), 0.0, begins)


def _summed(pace: Days) -> Days:
    return np.pad(np.cumsum(pace, axis=1), ((0, 0), (1, 0)))


@cache
def _hours(land: Land) -> Days:
    dates = np.datetime64(land.first, "D") + np.arange(land.days)
    return daylight_hours(dates, latitude_deg=land.latitude_deg)
