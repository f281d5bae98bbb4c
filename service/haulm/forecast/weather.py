"""Weather years on the forecast's own calendar: real ones where the farm has eight or more, else generated ones."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from haulm.farm.temperature_checks import LEAST_DAYS_OF_FULL_YEAR, LEAST_REAL_YEARS, LEAST_YEARS_FOR_MEANS
from haulm.forecast.inputs import Climate, DailySeries, MonthlyNormals
from haulm.horticulture.frost import NEVER

FloatArray = npt.NDArray[np.float64]

LEAST_DAYS_OF_MONTH = 20
GENERATED_YEARS = 64
SPAN_YEARS = 4
THIS_YEAR, NEXT_YEAR = 1, 2
STEADY_C = 15.0
FAST_SD, FAST_PHI = 2.5, 0.70
SLOW_SD, SLOW_PHI = 0.6, 0.97
YEAR_SD = 0.40
RANGE_SD, RANGE_PHI = 2.6, 0.38
LEAST_RANGE_C = 0.5
INLAND_FROM_C, INLAND_WHOLLY_C = 17.0, 22.0
WIDER_IN_WINTER = 1.4
COLD_TAIL = 0.12

_MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_MONTH_FIRST = np.concatenate([[0], np.cumsum(_MONTH_DAYS)])[:12]
_MONTH_OF_DAY = np.repeat(np.arange(12), _MONTH_DAYS)
_LEAP_DAY = (2, 29)
# Below what double precision can tell from nothing beside a value near 1.
_FORGOTTEN = 1e-17


class Basis(StrEnum):
    """What the weather of a forecast rests on."""

    YEARS = "years"
    NORMALS = "normals"
    WEEKS = "weeks"


@dataclass(frozen=True, slots=True)
class Span:
    """The days a forecast covers: last growing year, this one and the next two.

    A growing year starts on 1 January north of the equator and on 1 July south of it.
    """

    first: date
    days: int
    starts: tuple[int, ...]
    south: bool

    def __post_init__(self) -> None:
        assert self.starts[0] == 0, "the first growing year begins with the span"
        assert all(start < later for start, later in pairwise((*self.starts, self.days))), (
            "growing years follow each other"
        )
        assert self.days < NEVER, "the span ends before the day that never comes"

    @classmethod
    def around(cls, today: date, *, latitude_deg: float) -> Span:
        """The span of a day."""
        south = latitude_deg < 0
        month = 7 if south else 1
        year = today.year - (south and today.month < month)
        edges = [date(year + k, month, 1) for k in range(-1, SPAN_YEARS)]
        first = edges[0]
        return cls(first, (edges[-1] - first).days, tuple((edge - first).days for edge in edges[:-1]), south)

    def index(self, day: date) -> int:
        """The number of a day, 0 on the first; may lie outside the span."""
        return (day - self.first).days

    def month_day(self, month_day: tuple[int, int], *, year: int) -> int:
        """The number of a month and day in growing year 0 (last) to 3."""
        assert 0 <= year < len(self.starts), "a growing year of the span: one before it would be counted from its end"
        start = self.first + timedelta(days=self.starts[year])
        month, day = month_day
        if month_day == _LEAP_DAY:
            # Whatever the year is, so that a batch means the same day in each.
            day = 28
        calendar_year = start.year + (month < start.month)
        return self.index(date(calendar_year, month, day))

    @property
    def dates(self) -> npt.NDArray[np.datetime64]:
        """Every date of the span, shape (days,)."""
        return np.datetime64(self.first, "D") + np.arange(self.days)


@dataclass(frozen=True, slots=True)
class Weather:
    """Daily extremes of each weather year over a span, shape (years, days) [deg C].

    `min_c` and `max_c` hold what was really measured up to today; `usual_*` do not.
    """

    min_c: npt.NDArray[np.float32]
    max_c: npt.NDArray[np.float32]
    usual_min_c: npt.NDArray[np.float32]
    usual_max_c: npt.NDArray[np.float32]
    basis: Basis

    def __post_init__(self) -> None:
        assert self.min_c.shape == self.max_c.shape, "a lowest and a highest temperature of each day"
        assert self.usual_min_c.shape == self.usual_max_c.shape == self.min_c.shape, (
            "the usual weather of the same days"
        )
        assert (self.min_c <= self.max_c).all(), "no day is colder at its warmest than at its coldest"


def weather_years(climate: Climate, span: Span, *, today: date, seed: int) -> Weather | None:
    """The weather years of a climate; None where it holds neither temperatures nor frost dates.

    Args:
        climate: daily series, monthly normals, frost dates.
        span: the days wanted.
        today: temperatures measured up to this day stand in every weather year.
        seed: of the generated years.

    Returns:
        Weather: one row for each real pair of years (y, y+1), where eight full years or more are there; else
        generated years around monthly means; else, with frost dates alone, steady warmth (the plain weeks rule).

    Source: resampling of whole years; the generator is `generated_years`.
    """
    table = _full_years(climate.daily, south=span.south) if climate.daily is not None else {}
    if len(table) >= LEAST_REAL_YEARS and any(year + 1 in table for year in table):
        low, high = _real_rows(table, span)
        basis = Basis.YEARS
    else:
        normals = _normals(climate, full_years=len(table))
        if normals is not None:
            low, high = generated_years(normals, span, seed=seed)
            basis = Basis.NORMALS
        elif climate.last_spring_frost is not None or climate.first_autumn_frost is not None:
            low = high = np.full((1, span.days), STEADY_C)
            basis = Basis.WEEKS
        else:
            return None
    usual_low, usual_high = low.astype(np.float32), high.astype(np.float32)
    seen_low, seen_high = usual_low, usual_high
    if climate.daily is not None and basis is not Basis.WEEKS:
        seen_low, seen_high = _with_measured(climate.daily, span, today, (usual_low, usual_high))
    return Weather(seen_low, seen_high, usual_low, usual_high, basis)


def generated_years(normals: MonthlyNormals, span: Span, *, seed: int) -> tuple[FloatArray, FloatArray]:
    """Weather years around monthly means: a smooth yearly course plus fast, slow and yearly departures.

    Inland the fast departures are wider in winter, and more so towards the cold; by the sea they are the same all year.

    Args:
        normals: monthly mean minimum and maximum [deg C].
        span: the days wanted.
        seed: of the draw.

    Returns:
        Daily minimum and maximum, each shape (GENERATED_YEARS, days) [deg C].

    Source: three-scale autoregressive departures fitted to 13 daily series of 12 to 37 years; over left-out years
    they cover 82 % where 80 % is asked. Winters inland: `_inland_winter`.
    """
    # A number of its own beside the seed, so that weather repeats no other draws.
    rng = np.random.default_rng([seed, 0x57EA])
    low, high = np.array(normals.min_c), np.array(normals.max_c)
    day_of_year = _day_of_year(span)
    mean = smooth_year((low + high) / 2)[day_of_year]
    spread = smooth_year(high - low)[day_of_year]
    shape = (GENERATED_YEARS, span.days)
    growing_year = np.searchsorted(np.array(span.starts), np.arange(span.days), side="right") - 1
    offsets = YEAR_SD * rng.standard_normal((GENERATED_YEARS, SPAN_YEARS))[:, growing_year]
    fast = _with_cold_tail(_autoregression(rng, shape, 1.0, FAST_PHI), _inland_winter((low + high) / 2)[day_of_year])
    slow = _autoregression(rng, shape, SLOW_SD, SLOW_PHI)
    reach = np.maximum(LEAST_RANGE_C, spread + _autoregression(rng, shape, RANGE_SD, RANGE_PHI))
    middle = mean + fast + slow + offsets
    return middle - reach / 2, middle + reach / 2


def smooth_year(monthly: FloatArray) -> FloatArray:
    """A smooth yearly course whose monthly means are exactly those given.

    Args:
        monthly: twelve means, January first, shape (12,) [deg C].

    Returns:
        Daily values, shape (365,) [deg C].

    Source: straight lines between mid-months, their heights solved for (algebra).
    """
    middles = _MONTH_FIRST + (_MONTH_DAYS - 1) / 2
    days = np.arange(365)
    parts = np.stack([np.interp(days, middles, unit, period=365) for unit in np.eye(12)], axis=1)
    means = np.stack([parts[month == _MONTH_OF_DAY].mean(axis=0) for month in range(12)])
    return np.asarray(parts @ np.linalg.solve(means, monthly), dtype=np.float64)


def _inland_winter(monthly: FloatArray) -> FloatArray:
    """How far a day is a winter day inland: 0 by the sea and at midsummer, 1 in the coldest days inland, shape (365,).

    Source: ranges, width and tail fitted to the mean yearly minima of six daily series and of 13 places whose United
    States hardiness zone is known (from memory); leaving out one place at a time the others choose the same figures
    but for three places, and the place left out is met within 1.6 deg C (median 0.7; at worst 3.8).
    """
    reach = float(monthly.max() - monthly.min())
    inland = float(np.clip((reach - INLAND_FROM_C) / (INLAND_WHOLLY_C - INLAND_FROM_C), 0, 1))
    if inland == 0:
        return np.zeros(365)
    return np.asarray(inland * np.clip((monthly.max() - smooth_year(monthly)) / reach, 0, 1), dtype=np.float64)


def _with_cold_tail(scores: FloatArray, winter: FloatArray) -> FloatArray:
    """Fast departures from their scores: wider in winter inland, longest towards the cold; their mean stays zero."""
    tail = COLD_TAIL * winter
    # The variance of z - t (z^2 - 1) is 1 + 2 t^2, so the spread stays what it was.
    drawn = (scores - tail * (scores**2 - 1)) / np.sqrt(1 + 2 * tail**2)
    return np.asarray(FAST_SD * (1 + WIDER_IN_WINTER * winter) * drawn, dtype=np.float64)


def _autoregression(rng: np.random.Generator, shape: tuple[int, int], sd: float, phi: float) -> FloatArray:
    """Rows of values[day] = phi values[day - 1] + step noise, summed by doubling the days looked back on."""
    values = rng.standard_normal(shape) * sd
    # The first day comes from the long run already, so that no row has to warm up.
    values[:, 1:] *= np.sqrt(1 - phi**2)
    back = 1
    while back < shape[1] and phi**back > _FORGOTTEN:
        values[:, back:] += phi**back * values[:, :-back]
        back *= 2
    return values


def _day_of_year(span: Span) -> npt.NDArray[np.intp]:
    """For each day of a span its number in a common year, 0 on 1 January; 29 February counts as the 28th."""
    return _calendar(span.dates)[1]


def _calendar(
    dates: npt.NDArray[np.datetime64],
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
    """Year, day of a common year (0-based), and whether the date is 29 February."""
    months = dates.astype("datetime64[M]")
    years = dates.astype("datetime64[Y]").astype(np.intp) + 1970
    month = months.astype(np.intp) % 12
    day = (dates.astype("datetime64[D]") - months.astype("datetime64[D]")).astype(np.intp)
    leap = (month == 1) & (day == 28)
    return years, _MONTH_FIRST[month] + day - leap, leap


def _growing(
    dates: npt.NDArray[np.datetime64], *, south: bool
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
    """Growing year, day in it (0-based, of 365), and whether the date is 29 February."""
    years, days, leap = _calendar(dates)
    if not south:
        return years, days, leap
    middle = int(_MONTH_FIRST[6])
    return years - (days < middle), (days - middle) % 365, leap


def _full_years(daily: DailySeries, *, south: bool) -> dict[int, FloatArray]:
    """Growing years with hardly a gap: year -> extremes, shape (2, 365); gaps are bridged by straight lines."""
    years, days, leap = _growing(daily.dates, south=south)
    good = ~leap & np.isfinite(daily.min_c) & np.isfinite(daily.max_c)
    table: dict[int, FloatArray] = {}
    for year in np.unique(years[good]):
        here = good & (years == year)
        values = np.full((2, 365), np.nan)
        values[:, days[here]] = daily.min_c[here], daily.max_c[here]
        known = np.isfinite(values[0])
        if known.sum() < LEAST_DAYS_OF_FULL_YEAR:
            continue
        every = np.arange(365)
        table[int(year)] = np.stack([np.interp(every, every[known], row[known]) for row in values])
    return table


def _real_rows(table: dict[int, FloatArray], span: Span) -> tuple[FloatArray, FloatArray]:
    """One row for each year y that y+1 follows: y-1 | y | y+1 | y+2, the outer two replaced where not there."""
    years, days, _ = _growing(span.dates, south=span.south)
    part = years - years[0]
    rows: list[FloatArray] = []
    for year in sorted(table):
        if year + 1 not in table:
            continue
        four = [table.get(year - 1, table[year]), table[year], table[year + 1], table.get(year + 2, table[year + 1])]
        rows.append(np.stack(four)[part, :, days])
    both = np.stack(rows)
    return both[..., 0], both[..., 1]


def _normals(climate: Climate, *, full_years: int) -> MonthlyNormals | None:
    """Monthly means: of a series of three years or more, else those given, else of what series there is."""
    if climate.normals is not None and full_years < LEAST_YEARS_FOR_MEANS:
        return climate.normals
    if climate.daily is None:
        return climate.normals
    daily = climate.daily
    month = daily.dates.astype("datetime64[M]").astype(np.intp) % 12
    good = np.isfinite(daily.min_c) & np.isfinite(daily.max_c)
    counts = np.bincount(month[good], minlength=12)
    if counts.min() < LEAST_DAYS_OF_MONTH:
        return climate.normals
    means = [
        np.bincount(month[good], weights=values[good], minlength=12) / counts for values in (daily.min_c, daily.max_c)
    ]
    return MonthlyNormals(tuple(means[0].tolist()), tuple(means[1].tolist()))


def _with_measured(
    daily: DailySeries, span: Span, today: date, usual: tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]
) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]:
    """The weather years with temperatures measured in the span, up to today, in every one of them."""
    index = (daily.dates.astype("datetime64[D]") - np.datetime64(span.first, "D")).astype(np.intp)
    here = (index >= 0) & (index <= span.index(today)) & (index < span.days)
    here &= np.isfinite(daily.min_c) & np.isfinite(daily.max_c)
    if not here.any():
        return usual
    low, high = usual[0].copy(), usual[1].copy()
    low[:, index[here]] = daily.min_c[here]
    high[:, index[here]] = daily.max_c[here]
    return low, high
