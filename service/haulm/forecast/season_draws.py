"""The prior draw of the seasons: what all batches of a season share, before any record."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from haulm.forecast.doubt_draws import bad_years
from haulm.forecast.inputs import Climate, Setting
from haulm.forecast.reference import Light
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import SPAN_YEARS, Span, Weather
from haulm.forecast.winter_tables import WinterTables
from haulm.horticulture.daylight import daylight_hours

MIDSUMMER = (6, 21)
MIDSUMMER_SOUTH = (12, 21)


def draw_seasons(climate: Climate, weather: Weather, span: Span, setting: Setting) -> Seasons:
    """The shared part of every season.

    Args:
        climate: for its frost dates.
        weather: the weather years, each taken equally often, in order.
        span: the days covered.
        setting: place, seed, number of seasons.

    Returns:
        Seasons with equal weights.

    Source: independent normal scores; last and first frost of a year are unrelated (correlation -0.17 over ten
    sites).
    """
    assert weather.min_c.shape[1] == span.days, "a temperature for each day of the span"
    count = setting.seasons
    # The order of these draws is part of every answer: new ones come after the last.
    rng = np.random.default_rng([setting.seed, 0x5EA5])
    scores = rng.standard_normal((4, count))
    hours = daylight_hours(span.dates, latitude_deg=setting.latitude_deg)
    growing_year = np.searchsorted(np.array(span.starts), np.arange(span.days), side="right") - 1
    midsummer = MIDSUMMER_SOUTH if span.south else MIDSUMMER
    light, long_day_light = (
        Light(setting.daylight, long_days).factors(span.dates, setting.latitude_deg) for long_days in (False, True)
    )
    others = rng.standard_normal((2, SPAN_YEARS, count))
    # Each weather year equally often and not by chance: it takes fewer seasons for the same spread.
    rows = np.arange(count) * len(weather.min_c) // count
    return Seasons(
        span=span,
        weather=weather,
        climate=climate,
        setting=setting,
        weather_row=rows,
        row_apart=rng.permutation(rows),
        z_pace=scores[0],
        z_vigour=scores[1],
        z_other_years=others,
        z_last_frost=scores[2],
        z_first_frost=scores[3],
        weights=np.full(count, 1 / count),
        light=light,
        long_day_light=long_day_light,
        hours=hours,
        growing_year=growing_year,
        midsummer=np.array([span.month_day(midsummer, year=year) for year in range(len(span.starts))]),
        winter=WinterTables(weather.min_c, weather.max_c),
        u_bad=bad_years(_year_names(span), (setting.seed, count)),
    )


def _year_names(span: Span) -> tuple[int, ...]:
    return tuple((span.first + timedelta(days=start)).year for start in span.starts)
