"""Hindcasts: each past year forecast from the other years, and scored against what it would have brought.

The truth is worked out here by its own route and three ways, since nobody knows how far warmth hastens a plant:
thermal time alone, half thermal time and half calendar, the calendar alone. What a plant needs is never taken from the
place under test: it is the warmth of the stated weeks in the reference climate, whose days are drawn by straight lines
between its monthly means. The calendar is the growers' rule: so many weeks, but days before 1 April count half (common
practice: the weeks hold for sowings from April to June, a sowing of mid-February flowers from mid-June); plants that
wait for winter flower by it on one day everywhere. Warmth is the mean over 48 points of a sine day, not the forecast's
closed form. Every truth has noise of its own: the plant's need varies by 8 % (log-normal).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import crop_for, library
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import BatchStatus, Form, LifeCycle, Method
from haulm.forecast.first_stem import first_stem_days
from haulm.forecast.inputs import Climate, Setting, Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons, draw_seasons, own_draws, sensitivity_rows
from haulm.forecast.weather import Span, weather_years
from haulm.horticulture.daylight import daylight_hours
from haulm.horticulture.time_to_flower import KINDS as KINDS_OF_SENSITIVITY
from haulm.horticulture.time_to_flower import kinds_of
from support.open_weather import Place, series, stretch, without

SEASONS = 800
OWN_SPREAD = 0.08
TRUTHS = {"warmth": 1.0, "half": 0.5, "calendar": 0.0}
LONGEST_DAYS = 540
MILD_WINTER_C = 9.0
"""Where the coldest month is as mild, plants that wait for winter are not grown (common practice)."""

_SINE = np.sin(2 * np.pi * (np.arange(48) + 0.5) / 48)
_PINBALL_LEVELS = (0.1, 0.25, 0.5, 0.75, 0.9)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of the crop library with the days it is sown or planted, month and day in the north.

    A perennial's day is the start of its growth; a biennial's is its sowing in the year before it flowers.
    """

    type: str
    library_key: str
    method: Method
    sow_days: tuple[tuple[int, int], ...]


KINDS = (
    Kind("hardy annual", "briza_maxima", Method.DIRECT, ((3, 1), (3, 22), (4, 12), (5, 3), (5, 24), (6, 14), (7, 1))),
    Kind("half-hardy annual", "cosmos", Method.HEATED, ((4, 1), (4, 22), (5, 13), (6, 3), (6, 24))),
    Kind("tender annual", "zinnia", Method.DIRECT, ((5, 1), (5, 15), (6, 1), (6, 15))),
    Kind("biennial", "sweet_william", Method.DIRECT, ((6, 1), (6, 20), (7, 10))),
    Kind("corm", "gladiolus", Method.TUBER, ((4, 1), (4, 22), (5, 13), (6, 3))),
    Kind("perennial", "achillea", Method.ESTABLISHED, ((3, 1),)),
)


@dataclass(frozen=True, slots=True)
class Case:
    """One start of one kind in one left-out year.

    Attributes:
        first_days: forecast first-flower days after the start, shape (seasons,).
        true_days: by truth, what the year would have brought [d after the start].
        fixed_days: the weeks rule [d after the start].
        told_days: as `first_days`, of a forecast that has been told that warmth alone counts, shape (some seasons,).
        bare_days: as `told_days`, of plants that all need the same: the weather alone differs, shape (some seasons,).
        bare_true: what the year would have brought such plants, by warmth alone [d after the start].
    """

    place: str
    type: str
    year: int
    month_day: tuple[int, int]
    first_days: npt.NDArray[np.int64]
    true_days: dict[str, float]
    fixed_days: int
    told_days: npt.NDArray[np.int64]
    bare_days: npt.NDArray[np.int64]
    bare_true: float


def hindcast(place: Place, kinds: tuple[Kind, ...], years: tuple[int, ...]) -> Iterator[Case]:
    """Every start of every kind in each left-out year, forecast from the other years."""
    for year in years:
        seasons = seasons_without(place, year)
        for kind in kinds:
            crop = crop_of(kind)
            if crop.cold is not None and coldest_month_c(place) >= MILD_WINTER_C:
                continue
            for month_day in kind.sow_days:
                start = start_day(place, year, month_day)
                end = season_end(place, start, crop)
                if np.datetime64(end) + LONGEST_DAYS // 4 > series(place.key).dates[-1]:
                    continue
                last = (end - start).days
                forecast = np.minimum(first_days(kind, crop, start, seasons) - seasons.span.index(start), last)
                rng = np.random.default_rng([year, *month_day, len(place.key), len(kind.type)])
                noise = float(np.exp(OWN_SPREAD * rng.standard_normal() - OWN_SPREAD**2 / 2))
                truth = {
                    name: min(last, true_days(place, kind, crop, start, noise=noise, sensitivity=sensitivity))
                    for name, sensitivity in TRUTHS.items()
                }
                kind_of = kinds_of(crop.life_cycle)[sensitivity_rows(crop.key, seasons.setting)]
                by_warmth = (kind_of == KINDS_OF_SENSITIVITY.index(1.0)) | (crop.cold is not None)
                bare = np.minimum(
                    first_days(kind, crop, start, seasons, alike=True)[by_warmth] - seasons.span.index(start), last
                )
                yield Case(
                    place=place.name,
                    type=kind.type,
                    year=year,
                    month_day=month_day,
                    first_days=forecast,
                    true_days=truth,
                    fixed_days=fixed_days(place, crop, start),
                    told_days=forecast[by_warmth],
                    bare_days=bare,
                    bare_true=min(last, true_days(place, kind, crop, start, noise=1.0, sensitivity=1.0)),
                )


def left_out_years(place: Place) -> tuple[int, ...]:
    """The growing years that a place's series holds whole, with the years before and after."""
    dates = series(place.key).dates
    return tuple(range(int(str(dates[0])[:4]) + 1, int(str(dates[-1])[:4]) - 1))


def crop_of(kind: Kind) -> Crop:
    """The crop of a kind, with the library's figures."""
    found = library()[kind.library_key]
    return crop_for(Variety(found.key, found.name, botanical_name=found.botanical_name))


def start_day(place: Place, year: int, month_day: tuple[int, int]) -> date:
    """The start in the growing year that begins in `year`; six months later in the south."""
    month, day = month_day
    return date(year, month, day) if place.latitude_deg >= 0 else date(year + month // 7, (month + 5) % 12 + 1, day)


def season_end(place: Place, start: date, crop: Crop) -> date:
    """31 October (30 April in the south) of the flowering year: a flower after it counts as that day."""
    month, day = (10, 31) if place.latitude_deg >= 0 else (4, 30)
    end = date(start.year, month, day)
    end = end if end > start else date(start.year + 1, month, day)
    return end if crop.life_cycle is not LifeCycle.BIENNIAL else date(end.year + 1, month, day)


def seasons_without(place: Place, year: int) -> Seasons:
    """Seasons on the first day of a growing year, from a series that lacks this year and the next."""
    south = place.latitude_deg < 0
    today = date(year, 7 if south else 1, 1)
    left = without(series(place.key), np.datetime64(today), np.datetime64(today) + 2 * 365)
    setting = Setting(place.latitude_deg, today, seasons=SEASONS, seed=11)
    span = Span.around(today, latitude_deg=place.latitude_deg)
    climate = Climate(daily=left)
    weather = weather_years(climate, span, today=today, seed=11)
    assert weather is not None
    return draw_seasons(climate, weather, span, setting)


def first_days(kind: Kind, crop: Crop, start: date, seasons: Seasons, *, alike: bool = False) -> npt.NDArray[np.int64]:
    """The forecast's first-flower days in the span, shape (seasons,); `alike`: of plants that all need the same."""
    established = kind.method is Method.ESTABLISHED
    status = BatchStatus.PLANTED if established else BatchStatus.SOWN
    batch = Sowing(
        f"{kind.type} {start}", crop.key, crop, kind.method, Form.FRESH, status, None if established else start, 100, 80
    )
    today = replace(seasons, setting=replace(seasons.setting, today=max(seasons.setting.today, start)))
    cycle = cycles(batch, today)[0]
    draws = own_draws(cycle.key, seasons.setting)
    if alike:
        none = np.zeros_like(draws.z_pace)
        draws = replace(draws, z_pace=none, z_delay=none)
        today = replace(today, z_pace=none, z_other_years=np.zeros_like(today.z_other_years))
    return first_stem_days(batch, cycle, today, draws)


def true_days(place: Place, kind: Kind, crop: Crop, start: date, *, noise: float, sensitivity: float) -> float:
    """Days from start to first flower in the weather that really was."""
    usual = fixed_days(place, crop, start)
    low, high = stretch(series(place.key), np.datetime64(start), LONGEST_DAYS)
    warm = warmth(low, high, crop.base_c)
    counts = counted_days(place, crop, start)
    if crop.cold is not None:
        spring = spring_day(place, crop, start)
        pace = counts * (1 - sensitivity) / (usual - spring)
        warm[:spring] = 0
        pace += sensitivity * warm / need(crop)
    else:
        pace = counts * (1 - sensitivity) / usual
        pace += sensitivity * warm * slowed(place.latitude_deg, start, LONGEST_DAYS) / need(crop)
    made = np.cumsum(pace)
    return float(np.searchsorted(made, noise) + 1)


def fixed_days(place: Place, crop: Crop, start: date) -> int:
    """Days from start to first flower by the weeks rule; plants that wait for winter have their day of the year."""
    usual = round(7 * crop.weeks_to_flower)
    assert crop.stated_for is not None
    if crop.cold is None:
        return usual
    counted = start_day(place, start.year, crop.stated_for.month_day)
    if crop.life_cycle is LifeCycle.BIENNIAL and place.latitude_deg < 0:
        counted = start_day(place, start.year - (start.month < 7), crop.stated_for.month_day)
    return (counted - start).days + usual


def spring_day(place: Place, crop: Crop, start: date) -> int:
    """Days from the start to 1 March (1 September in the south) before the flower."""
    month = 3 if place.latitude_deg >= 0 else 9
    flower = start + timedelta(days=fixed_days(place, crop, start))
    spring = date(flower.year, month, 1)
    return ((spring if spring < flower else date(flower.year - 1, month, 1)) - start).days


def counted_days(place: Place, crop: Crop, start: date) -> npt.NDArray[np.float64]:
    """How much each day counts by the growers' rule: of a sowing half before 1 April, else one; none before spring."""
    counts = np.ones(LONGEST_DAYS)
    if crop.cold is not None:
        counts[: spring_day(place, crop, start)] = 0
    elif crop.life_cycle is not LifeCycle.BULB_TUBER:
        spring = date(start.year, 4, 1) if place.latitude_deg >= 0 else date(start.year, 10, 1)
        counts[: max(0, (spring - start).days)] = 0.5
    return counts


def need(crop: Crop) -> float:
    """Degree-days of the stated weeks where and from when they are stated; after winter from 1 March on."""
    stated = crop.stated_for
    assert stated is not None
    first = date(2026, *stated.month_day)
    last = first + timedelta(days=round(7 * crop.weeks_to_flower))
    if crop.cold is not None:
        first = date(last.year, 3, 1)
    days = (last - first).days
    at = (np.datetime64(first) + np.arange(days)).astype("datetime64[D]")
    place = stated.climate
    low, high = (_between_months(at, values) for values in (place.min_c, place.max_c))
    light = np.ones(days) if crop.cold is not None else slowed(place.latitude_deg, first, days)
    return float((warmth(low, high, crop.base_c) * light).sum())


def _between_months(days: npt.NDArray[np.datetime64], means: tuple[float, ...]) -> npt.NDArray[np.float64]:
    """Straight lines between the middles of months."""
    of_year = (days - days.astype("datetime64[Y]")).astype(float)
    return np.interp(of_year, 365 / 12 * (np.arange(12) + 0.5), means, period=365)


def coldest_month_c(place: Place) -> float:
    """The mean of the coldest month of a place's series [deg C]."""
    daily = series(place.key)
    month = daily.dates.astype("datetime64[M]").astype(int) % 12
    middle = (daily.min_c + daily.max_c) / 2
    return float(min(np.nanmean(middle[month == at]) for at in range(12)))


def warmth(low: npt.NDArray[np.float64], high: npt.NDArray[np.float64], base_c: float) -> npt.NDArray[np.float64]:
    """Degree-days of a sine day between a base and 25 or 30 deg C, by its mean over 48 points."""
    upper = 25.0 if base_c <= 6 else 30.0
    hours = ((low + high) / 2)[:, None] + ((high - low) / 2)[:, None] * _SINE
    return np.asarray((np.clip(hours, base_c, upper) - base_c).mean(axis=1))


def slowed(latitude_deg: float, first: date, days: int) -> npt.NDArray[np.float64]:
    """The ten-hour rule: slower below ten hours of light, a tenth of the pace at eight."""
    dates = np.datetime64(first) + np.arange(days)
    hours = daylight_hours(dates, latitude_deg=latitude_deg)
    return np.clip(0.1 + 0.9 * (hours - 8) / 2, 0.1, 1)


@dataclass(frozen=True, slots=True)
class Score:
    """How well a set of cases was forecast under one truth; skill is 1 - loss / loss of the fixed weeks.

    Attributes:
        covered_80, covered_50: share of truths inside the 80 % and the 50 % interval.
        width_80: mean width of the 80 % interval [d].
        crps: mean continuous ranked probability score [d].
        fixed_error: mean absolute error of the weeks rule, which is its score as a certain statement [d].
        pinball_skill: over the fixed weeks, at the levels 0.1 to 0.9.
    """

    cases: int
    covered_80: float
    covered_50: float
    width_80: float
    crps: float
    fixed_error: float
    pinball_skill: float

    @property
    def skill(self) -> float:
        """Skill by CRPS over the fixed weeks."""
        return 1 - self.crps / self.fixed_error


def score(cases: list[Case], truth: str) -> Score:
    """The score of cases under one truth."""
    return _mean([_scored(case.first_days, case.fixed_days, case.true_days[truth]) for case in cases])


def told_score(cases: list[Case]) -> Score:
    """The score under warmth alone, of a forecast that knows it."""
    return _mean([_scored(case.told_days, case.fixed_days, case.true_days["warmth"]) for case in cases])


def bare_score(cases: list[Case]) -> Score:
    """The same of plants that all need the same, which leaves the weather alone to be forecast."""
    return _mean([_scored(case.bare_days, case.fixed_days, case.bare_true) for case in cases])


def pooled(cases: list[Case]) -> Score:
    """The score over all truths, each with the same weight."""
    return _mean(
        [_scored(case.first_days, case.fixed_days, days) for case in cases for days in case.true_days.values()]
    )


def _mean(found: list[tuple[float, ...]]) -> Score:
    covered_80, covered_50, width_80, crps, error, loss, fixed_loss = np.mean(np.array(found), axis=0).tolist()
    return Score(len(found), covered_80, covered_50, width_80, crps, error, 1 - loss / fixed_loss)


def _scored(first: npt.NDArray[np.int64], fixed: int, true: float) -> tuple[float, ...]:
    """Inside the 80 %, inside the 50 %, width, CRPS, error of the fixed weeks, pinball of both."""
    stated = quantiles(first[None, :], _PINBALL_LEVELS)[:, 0]
    low, lower, _, upper, high = stated
    ordered = np.sort(first).astype(float)
    count = len(ordered)
    spread = float(((2 * np.arange(1, count + 1) - count - 1) * ordered).sum()) / count**2
    crps = float(np.abs(ordered - true).mean()) - spread
    loss, fixed_loss = (_pinball(true - said) for said in (stated, np.full(len(stated), fixed)))
    return low <= true <= high, lower <= true <= upper, high - low, crps, abs(true - fixed), loss, fixed_loss


def _pinball(missed: npt.NDArray[np.float64]) -> float:
    levels = np.array(_PINBALL_LEVELS)
    return float(np.maximum(levels * missed, (levels - 1) * missed).mean())
