"""What the figures of the crop library mean: needs worked out once, where and from the day they are stated for.

A need depends on nothing but the figure, so it is the same on every farm.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from haulm.farm.stated import ColdNeed, ReferenceClimate, StatedFor
from haulm.farm.words import LifeCycle
from haulm.forecast.inputs import MonthDay, MonthlyNormals
from haulm.forecast.weather import THIS_YEAR, Span, generated_years
from haulm.horticulture.daylight import daylight_hours, long_day_factor, short_day_factor
from haulm.horticulture.spring_growth import (
    COLD_BY_MONTH_DAY,
    COLD_BY_MONTH_DAY_SOUTH,
    COLD_FROM_MONTH_DAY,
    COLD_FROM_MONTH_DAY_SOUTH,
    YOUNG_WEEKS,
    WinterDays,
    cold_had,
    cold_of_days,
    growth_starts,
    warmth_needed,
)
from haulm.horticulture.thermal_time import degree_days
from haulm.horticulture.time_to_flower import BIENNIAL_MONTH_DAY, Reference, reference_pace, upper_limit_c
from haulm.kept import answers

_ANY_DAY = date(2027, 1, 1)
_SEED = 1
_CLIMATES_KEPT, _FIGURES_KEPT = 8, 1024
_LEAST_GROWTH_DAYS = 28
_HALF_A_YEAR_MONTHS = 6


class Light(NamedTuple):
    """How day length slows a kind: not at all (`daylight` off), on short days, long-day kinds on middling ones too."""

    daylight: bool
    long_days: bool

    @classmethod
    def of(cls, life_cycle: LifeCycle, *, daylight: bool) -> Light:
        """The light of a kind: hardy annuals are taken for long-day plants."""
        return cls(daylight, life_cycle is LifeCycle.HARDY_ANNUAL)

    def factors(self, dates: npt.NDArray[np.datetime64], latitude_deg: float) -> npt.NDArray[np.float32]:
        """The share of its pace at which the kind moves on each day, shape of the dates."""
        if not self.daylight:
            return np.ones(dates.shape, dtype=np.float32)
        hours = daylight_hours(dates, latitude_deg=latitude_deg)
        factors = short_day_factor(hours)
        return (factors * long_day_factor(hours) if self.long_days else factors).astype(np.float32)


class ReferenceYears(NamedTuple):
    """Weather years of a reference climate: their days, and extremes of shape (years, days) [deg C]."""

    span: Span
    min_c: npt.NDArray[np.float32]
    max_c: npt.NDArray[np.float32]


@answers(_CLIMATES_KEPT)
def reference_years(climate: ReferenceClimate) -> ReferenceYears:
    """The weather years in which the figures stated for a climate are worked out, the same for ever.

    Args:
        climate: monthly means.

    Returns:
        The years.

    Source: `generated_years`.
    """
    span = Span.around(_ANY_DAY, latitude_deg=climate.latitude_deg)
    low, high = generated_years(MonthlyNormals(climate.min_c, climate.max_c), span, seed=_SEED)
    return ReferenceYears(span, low.astype(np.float32), high.astype(np.float32))


@answers(_FIGURES_KEPT)
def stated_reference(
    stated: StatedFor, light: Light, *, base_c: float, weeks: float, germination_days: float
) -> Reference:
    """What stated weeks to flower mean in the climate they are stated for.

    Args:
        stated: climate and start.
        light: how day length slows the kind.
        base_c: base temperature [deg C].
        weeks: from the start to flower [weeks].
        germination_days: days to emergence [d].

    Returns:
        The reference.

    Source: `reference_pace`.
    """
    years = reference_years(stated.climate)
    first = years.span.month_day(stated.month_day, year=THIS_YEAR)
    part = slice(first, min(years.span.days, first + max(1, round(7 * weeks))))
    warmth = _warmth(years, part, base_c)
    lit = light.factors(years.span.dates[part], stated.climate.latitude_deg)
    return reference_pace(warmth, lit, weeks=weeks, germination_days=germination_days)


@answers(_FIGURES_KEPT)
def stated_need(stated: StatedFor, cold: ColdNeed, *, base_c: float, weeks: float) -> float:
    """The warmth from the start of spring growth to the first stem of a kind that waits for winter.

    Args:
        stated: climate, and the month and day from which the weeks count.
        cold: what it needs of winter.
        base_c: base temperature [deg C].
        weeks: from that day to the first stem [weeks].

    Returns:
        Degree-days [deg C d].

    Source: `warmth_needed`; where the weeks end before growth could begin they end four weeks after it.
    """
    years = reference_years(stated.climate)
    first = years.span.month_day(stated.month_day, year=THIS_YEAR)
    return need_of_weeks(years, _warmth(years, slice(None), base_c), cold, first + round(7 * weeks))


def need_of_weeks(years: ReferenceYears, warmth: npt.NDArray[np.float32], cold: ColdNeed, end: int) -> float:
    """The warmth from the start of spring growth up to a day, in the mean of some years.

    Args:
        years: the years.
        warmth: degree-days of the same days, shape (years, days) [deg C d].
        cold: what the kind needs of winter.
        end: the day of the first stem, a number in the span.

    Returns:
        Degree-days [deg C d].

    Source: `warmth_needed`; a day before growth could begin is taken for one four weeks after it.
    """
    assert warmth.shape == years.min_c.shape, "warmth of the same days as the years"
    year = int(np.searchsorted(np.array(years.span.starts), min(end, years.span.days - 1), side="right")) - 1
    days = winter_days(years.span, year, cold.grows_from)
    had = cold_had(cold_of_days(years.min_c, years.max_c), days)
    starts = np.minimum(growth_starts(had, days, cold.days), days.cold_by)
    return warmth_needed(warmth, starts, max(end, days.grows_from + _LEAST_GROWTH_DAYS))


@answers(_FIGURES_KEPT)
def stated_young_need(climate: ReferenceClimate, base_c: float) -> float:
    """The warmth that a plant from seed needs before cold counts for it, in the climate its figures are stated for.

    Args:
        climate: the reference climate.
        base_c: base temperature [deg C].

    Returns:
        Degree-days [deg C d].

    Source: `young_need`.
    """
    years = reference_years(climate)
    return young_need(years, _warmth(years, slice(None), base_c))


def young_need(years: ReferenceYears, warmth: npt.NDArray[np.float32]) -> float:
    """The warmth that a plant from seed needs before cold counts for it.

    Args:
        years: some years.
        warmth: degree-days of the same days, shape (years, days) [deg C d].

    Returns:
        Degree-days of ten weeks from 1 July, 1 January in the south [deg C d].

    Source: biennials are sown by early August to flower in the next year (common practice); ten weeks from memory.
    """
    month_day = BIENNIAL_MONTH_DAY if not years.span.south else (1, 1)
    first = years.span.month_day(month_day, year=THIS_YEAR)
    return float(warmth[:, first : first + round(7 * YOUNG_WEEKS)].sum(axis=1, dtype=np.float64).mean())


def winter_days(span: Span, year: int, grows_from: MonthDay, *, planted: int = 0) -> WinterDays:
    """The days of the winter before a growing year.

    Args:
        span: the calendar.
        year: growing year of the span.
        grows_from: month and day in the north of the earliest growth towards flowering.
        planted: no cold counts before this day.

    Returns:
        The days; in the south half a year later. Of the winter before the first growing year only its end is known.

    Source: cold from 1 September on, had by 1 April (1 March and 1 October); chosen on published dates.
    """
    cold_from, cold_by = COLD_FROM_MONTH_DAY, COLD_BY_MONTH_DAY
    if span.south:
        cold_from, cold_by = COLD_FROM_MONTH_DAY_SOUTH, COLD_BY_MONTH_DAY_SOUTH
        month, day = grows_from
        grows_from = ((month + _HALF_A_YEAR_MONTHS - 1) % 12 + 1, day)
    by = span.month_day(cold_by, year=year)
    since = max(planted, span.month_day(cold_from, year=year - 1) if year else 0)
    end = span.starts[year + 1] if year + 1 < len(span.starts) else span.days
    return WinterDays(min(since, by), by, span.month_day(grows_from, year=year), end)


def _warmth(years: ReferenceYears, part: slice, base_c: float) -> npt.NDArray[np.float32]:
    low, high = years.min_c[:, part], years.max_c[:, part]
    return degree_days(low, high, base_c=base_c, upper_c=upper_limit_c(base_c)).astype(np.float32)
