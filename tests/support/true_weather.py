"""Weather that farms of our own live through, and what each farm has been told of it.

Six climates. Three have a daily series (tests/support/open_weather.py): every fourth growing year is lived through and
kept from the farm, which has the others. Three have monthly means alone (tests/outside/data/normals_of_places.csv, from
memory): their days are those means with the departures of a real series of the same sort of country, and the farm is
told monthly means and frost dates. Nothing here comes from the forecast's own weather.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np
import numpy.typing as npt

from haulm.farm.records import DayTemperature
from haulm.farm.site import FrostDates, MonthDay, MonthlyTemperatures
from support.open_weather import DATA, series

Days = npt.NDArray[np.float64]

NORTH_FIRST, NORTH_DAYS = date(2026, 7, 1), 549
SOUTH_FIRST, SOUTH_DAYS = date(2026, 1, 1), 546
"""The season lived through, with the half year before its growing year: no 29 February in either."""
EVERY = 4
"""Of so many growing years of a daily series one is lived through."""
_SMOOTHED_OVER_DAYS = 31


@dataclass(frozen=True, slots=True)
class Land:
    """A climate: its name, where its days come from (`daily`: its own series), latitude [deg]."""

    key: str
    departures: str
    latitude_deg: float
    daily: bool = False

    @property
    def south(self) -> bool:
        """Whether it lies south of the equator."""
        return self.latitude_deg < 0

    @property
    def first(self) -> date:
        """The first day of the season lived through."""
        return SOUTH_FIRST if self.south else NORTH_FIRST

    @property
    def days(self) -> int:
        """So many days it has."""
        return SOUTH_DAYS if self.south else NORTH_DAYS

    @property
    def begins(self) -> int:
        """The number of the first day of its growing year."""
        return self.index((7, 1) if self.south else (1, 1))

    def index(self, month_day: tuple[int, int]) -> int:
        """The number of a month and day of the growing year; in the south as it stands, not turned."""
        month, day = month_day
        year = 2027 if not self.south or month < 7 else 2026
        return (date(year, month, day) - self.first).days

    def day(self, index: float) -> date:
        """The date of a number."""
        return self.first + timedelta(days=round(index))


LANDS = {
    land.key: land
    for land in (
        Land("cambridge", "cambridge", 52.2, daily=True),
        Land("champion", "champion", 40.47, daily=True),
        Land("cordoba", "cordoba", -31.42, daily=True),
        Land("ithaca", "champion", 42.4),
        Land("seattle", "north_yorkshire", 47.6),
        Land("maryland", "champion", 39.1),
    )
}


@dataclass(frozen=True, eq=False)
class Years:
    """Daily extremes, each shape (years, days) [deg C]."""

    min_c: Days
    max_c: Days


@dataclass(frozen=True, eq=False)
class Told:
    """What a farm has been told of its weather."""

    rows: tuple[DayTemperature, ...] = ()
    normals: MonthlyTemperatures | None = None
    frost: FrostDates | None = None


@cache
def lived(land: Land, turn: int) -> Years:
    """The years of which each season lives through one; `turn` says which of a daily series are kept from the farm."""
    return _rows(land, _hidden_years(land, turn)) if land.daily else every_year(land)


@cache
def every_year(land: Land) -> Years:
    """All years of a climate, lived through or not."""
    found = _rows(land, _growing_years(land))
    if land.daily:
        return found
    low, high = (np.array(row) for row in _normals(land.key))
    return Years(_moved(found.min_c, low, land), _moved(found.max_c, high, land))


@cache
def told(land: Land, turn: int) -> Told:
    """What a farm there knows."""
    if land.daily:
        return Told(rows=_kept_rows(land, turn))
    years, months = every_year(land), _months(land)
    part = slice(land.begins, land.begins + 365)
    means = [
        tuple(round(float(values[:, part][:, months[part] == month].mean()), 1) for month in range(12))
        for values in (years.min_c, years.max_c)
    ]
    return Told(normals=MonthlyTemperatures(*means), frost=_frost(land, years))


def last_frost(land: Land) -> int:
    """The number of the day before which half of all springs have had their last night of 0 deg C."""
    return round(float(np.median(_frost_ends(land, every_year(land))[0])))


def _growing_years(land: Land) -> tuple[int, ...]:
    dates = series(land.departures).dates
    return tuple(range(int(str(dates[0])[:4]) + 1, int(str(dates[-1])[:4])))


def _hidden_years(land: Land, turn: int) -> tuple[int, ...]:
    return _growing_years(land)[turn % EVERY :: EVERY]


def _rows(land: Land, years: tuple[int, ...]) -> Years:
    """The season's days as they were in past growing years; a 29 February is left out."""
    daily = series(land.departures)
    months = daily.dates.astype("datetime64[M]")
    is_leap = (months.astype(int) % 12 == 1) & ((daily.dates - months.astype("datetime64[D]")).astype(int) == 28)
    dates, low, high = daily.dates[~is_leap], daily.min_c[~is_leap], daily.max_c[~is_leap]
    starts = [int(np.searchsorted(dates, np.datetime64(_first(land, year)))) for year in years]
    return Years(
        np.stack([low[at : at + land.days] for at in starts]), np.stack([high[at : at + land.days] for at in starts])
    )


def _first(land: Land, year: int) -> date:
    return land.first.replace(year=year if land.south else year - 1)


def _moved(values: Days, normals: Days, land: Land) -> Days:
    """Past days with the usual course of their own place taken off and that of another put on."""
    usual = values.mean(axis=0)
    window = np.ones(_SMOOTHED_OVER_DAYS) / _SMOOTHED_OVER_DAYS
    course = np.convolve(np.pad(usual, _SMOOTHED_OVER_DAYS // 2, mode="reflect"), window, mode="valid")
    middles = np.array([15, 45, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349], float)
    day_of_year = np.array([land.day(at).timetuple().tm_yday for at in range(land.days)], float)
    return values - course + np.interp(day_of_year, middles, normals, period=365)


def _normals(key: str) -> tuple[list[float], list[float]]:
    with (DATA / "normals_of_places.csv").open(encoding="utf-8", newline="") as file:
        row = next(row for row in csv.DictReader(file) if row["climate"] == key)
    low, high = ([float(row[f"{word}_{month}"]) for month in range(1, 13)] for word in ("min", "max"))
    return low, high


def _months(land: Land) -> npt.NDArray[np.int64]:
    return np.array([land.day(at).month - 1 for at in range(land.days)])


def _kept_rows(land: Land, turn: int) -> tuple[DayTemperature, ...]:
    """Every day of the series but those of the growing years that are lived through."""
    daily = series(land.departures)
    kept = np.ones(len(daily.dates), bool)
    for year in _hidden_years(land, turn):
        first = np.datetime64(date(year, 7 if land.south else 1, 1))
        last = np.datetime64(date(year + 1, 6, 30) if land.south else date(year, 12, 31))
        kept &= (daily.dates < first) | (daily.dates > last)
    days = (daily.dates[kept].astype(object), daily.min_c[kept], daily.max_c[kept])
    return tuple(DayTemperature(day, float(low), float(high)) for day, low, high in zip(*days, strict=True))


def _frost(land: Land, years: Years) -> FrostDates:
    ends = _frost_ends(land, years)
    days = [land.day(float(np.quantile(found, share))) for found in ends for share in (0.1, 0.5, 0.9)]
    return FrostDates(*(MonthDay(day.month, day.day) for day in days))


def _frost_ends(land: Land, years: Years) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """The last night of 0 deg C before midsummer and the first after it, in each year."""
    midsummer = land.index((12, 21) if land.south else (6, 21))
    cold = years.min_c <= 0
    last = midsummer - 1 - np.argmax(cold[:, :midsummer][:, ::-1], axis=1)
    after = cold[:, midsummer:]
    first = np.where(after.any(axis=1), midsummer + np.argmax(after, axis=1), land.days - 1)
    return last, first
