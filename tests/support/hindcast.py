"""Hindcasts: each past year forecast from the other years, and scored against what it would have brought.

The truth is worked out here by its own route and three ways, since nobody knows how far warmth hastens a plant:
thermal time alone, half thermal time and half calendar, the calendar alone. The calendar is the growers' rule: so many
weeks, but days before 1 April count half (common practice: the weeks hold for sowings from April to June, a sowing of
mid-February flowers from mid-June). Warmth is the mean over 48 points of a sine day, not the forecast's closed form.
What a kind needs is learned elsewhere, never from the place that is judged: where its weeks hold, or for biennials and
perennials from their date in England, from the end of their cold on (`true_development`); they are judged where winters
are cold enough for them. Every truth has noise of its own: the plant's need varies by 8 % (log-normal).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import crop_for, library
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import BatchStatus, Form, LifeCycle, Method
from haulm.forecast.first_stem import Growing, first_stem_days
from haulm.forecast.inputs import Climate, Setting, Sowing
from haulm.forecast.own_draws import own_draws, sensitivity_rows
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import cycles
from haulm.forecast.season_draws import draw_seasons
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import Span, weather_years
from haulm.horticulture.daylight import daylight_hours
from haulm.horticulture.time_to_flower import KINDS as SENSITIVITIES
from haulm.horticulture.time_to_flower import kinds_of
from support.open_weather import Place, series, stretch, without
from support.true_development import (
    STANDING,
    Standing,
    cold_days,
    degree_days_elsewhere,
    forcing_elsewhere,
    ten_hours,
    warmth,
)
from support.true_weather import Years

SEASONS = 800
OWN_SPREAD = 0.08
TRUTHS = {"warmth": 1.0, "half": 0.5, "calendar": 0.0}
LONGEST_DAYS = 540
_PINBALL_LEVELS = (0.1, 0.25, 0.5, 0.75, 0.9)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of the crop library with the days it is sown or planted, month and day in the north.

    A day that stands for another year's growth (a perennial's start of growth, a biennial's sowing in the year before)
    is marked by `method` and life cycle.
    """

    type: str
    library_key: str
    method: Method
    sow_days: tuple[tuple[int, int], ...]

    @property
    def standing(self) -> Standing | None:
        """What it needs of winter and spring, if it flowers after winter."""
        return STANDING.get(self.library_key)


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
        for kind in (kind for kind in kinds if has_winter(place, kind)):
            crop = crop_of(kind)
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
                    for name, sensitivity in truths_of(kind).items()
                }
                by_warmth = told_so(crop, seasons)
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
                    fixed_days=fixed_days(place, kind, crop, start),
                    told_days=forecast[by_warmth],
                    bare_days=bare,
                    bare_true=min(last, true_days(place, kind, crop, start, noise=1.0, sensitivity=1.0)),
                )


def truths_of(kind: Kind) -> dict[str, float]:
    """The truths a kind is judged by: the calendar alone drives no plant that stands.

    Peonies begin at the end of May in England (common practice) and on 30 June in Fairbanks (tests/outside/data).
    """
    return TRUTHS if kind.standing is None else {name: share for name, share in TRUTHS.items() if share > 0}


@cache
def has_winter(place: Place, kind: Kind) -> bool:
    """Whether a kind has its cold in nine years of ten there, or needs none: elsewhere nobody grows it."""
    if kind.standing is None:
        return True
    found = [spring_of(place, kind.standing, date(year, 2, 1)).begins is not None for year in left_out_years(place)]
    return sum(found) >= 0.9 * len(found)


def told_so(crop: Crop, seasons: Seasons) -> npt.NDArray[np.bool_]:
    """The seasons in which the forecast holds that warmth alone drives the crop, shape (seasons,)."""
    rows = sensitivity_rows(crop.key, seasons.setting)
    return np.array(SENSITIVITIES)[kinds_of(crop.life_cycle)[rows]] == 1.0


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
    return first_stem_days(Growing(batch, cycle, today), draws)


def true_days(place: Place, kind: Kind, crop: Crop, start: date, *, noise: float, sensitivity: float) -> float:
    """Days from start to first flower in the weather that really was."""
    if kind.standing is not None:
        return _after_winter(place, kind.standing, start, noise, sensitivity)
    usual = round(7 * crop.weeks_to_flower)
    years = _stretch(place, start, LONGEST_DAYS)
    pace = (1 - sensitivity) * counted_days(place, kind, start) / usual
    if sensitivity > 0:
        hours = daylight_hours(np.datetime64(start) + np.arange(LONGEST_DAYS), latitude_deg=place.latitude_deg)
        thermal = warmth(years, crop.base_c)[0] * ten_hours(hours)
        pace = pace + sensitivity * thermal / degree_days_elsewhere(crop.life_cycle, crop.base_c, crop.weeks_to_flower)
    return float(np.searchsorted(np.cumsum(pace), noise) + 1)


def fixed_days(place: Place, kind: Kind, crop: Crop, start: date) -> int:
    """The growers' rule: so many weeks, or the date on which the kind flowers in England [d after the start]."""
    if kind.standing is None:
        return round(7 * crop.weeks_to_flower)
    return (spring_of(place, kind.standing, start).first - start).days + _usual_days(kind.standing)


@dataclass(frozen=True, eq=False)
class Spring:
    """The spring in which a kind flowers after winter.

    Attributes:
        first: 1 March, 1 September in the south.
        begins: days from `first` to the end of its cold, at least 0; None where the cold is not had a month later.
        years: the weather from `first` on, one row.
    """

    first: date
    begins: int | None
    years: Years


def spring_of(place: Place, kind: Standing, start: date) -> Spring:
    """The first spring on or after a start."""
    south = place.latitude_deg < 0
    first = date(start.year, 9 if south else 3, 1)
    first = first if first >= start else first.replace(year=first.year + 1)
    winter = first.replace(month=3) if south else date(first.year - 1, 9, 1)
    before = (first - winter).days
    had = np.cumsum(cold_days(_stretch(place, winter, before + 31))[0])
    enough = int(np.searchsorted(had, kind.cold_days)) + 1
    begins = None if had[-1] < kind.cold_days else max(0, enough - before)
    return Spring(first, begins, _stretch(place, first, LONGEST_DAYS // 2))


def _after_winter(place: Place, kind: Standing, start: date, noise: float, sensitivity: float) -> float:
    """Days from a start to the first flower: warmth from the end of the cold on, the calendar from the day in March."""
    spring = spring_of(place, kind, start)
    assert spring.begins is not None, "a kind flowers where it has its cold"
    thermal = warmth(spring.years, kind.base_c)[0] / forcing_elsewhere(kind)
    thermal[: spring.begins] = 0
    pace = (1 - sensitivity) / _usual_days(kind) + sensitivity * thermal
    return float((spring.first - start).days + np.searchsorted(np.cumsum(pace), noise) + 1)


def _usual_days(kind: Standing) -> int:
    month, day = kind.flowers
    return (date(2027, month, day) - date(2027, 3, 1)).days


def _stretch(place: Place, first: date, days: int) -> Years:
    low, high = stretch(series(place.key), np.datetime64(first), days)
    return Years(low[None, :], high[None, :])


def counted_days(place: Place, kind: Kind, start: date) -> npt.NDArray[np.float64]:
    """How much each day counts by the growers' rule: half before 1 April of the year of a sowing, else one."""
    counts = np.ones(LONGEST_DAYS)
    if kind.method is not Method.TUBER:
        spring = date(start.year, 4, 1) if place.latitude_deg >= 0 else date(start.year, 10, 1)
        counts[: max(0, (spring - start).days)] = 0.5
    return counts


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
    """The score under one truth, of the cases that are judged by it."""
    judged = [case for case in cases if truth in case.true_days]
    return _mean([_scored(case.first_days, case.fixed_days, case.true_days[truth]) for case in judged])


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
