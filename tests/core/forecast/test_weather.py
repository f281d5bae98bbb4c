"""Laws of weather years."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.forecast.inputs import Climate
from haulm.forecast.weather import Basis, Span, generated_years, smooth_year, weather_years
from support.forecast_builders import COOL_MARITIME, invented_series, monthly_climate, yearly_climate

SPAN = Span.around(date(2027, 5, 1), latitude_deg=52)
MONTHS = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@given(st.lists(st.floats(-20, 30), min_size=12, max_size=12))
def test_a_smooth_year_keeps_its_monthly_means(means: list[float]) -> None:
    daily = smooth_year(np.array(means))
    assert [daily[month == MONTHS].mean() for month in range(12)] == pytest.approx(means, abs=1e-9)


@given(st.dates(date(2020, 1, 1), date(2035, 12, 31)), st.sampled_from([52.0, -42.0]))
def test_a_span_holds_last_year_this_year_and_four_hundred_days_more(today: date, latitude: float) -> None:
    span = Span.around(today, latitude_deg=latitude)
    here = span.index(today)
    assert span.starts[1] <= here < span.starts[2]
    assert here + 400 < span.days
    assert span.index(span.dates[here].astype(object)) == here


def test_a_growing_year_in_the_south_starts_in_july() -> None:
    span = Span.around(date(2027, 3, 1), latitude_deg=-42)
    assert span.first == date(2025, 7, 1)
    assert span.month_day((1, 15), year=1) == span.index(date(2027, 1, 15))
    assert span.month_day((2, 29), year=1) == span.index(date(2027, 2, 28))


def test_eight_years_are_used_as_they_were_year_after_year() -> None:
    series = invented_series(9)
    weather = weather_years(Climate(daily=series), SPAN, today=date(2027, 5, 1), seed=1)
    assert weather is not None
    assert weather.basis is Basis.YEARS
    assert len(weather.min_c) == 8
    row = series.dates == np.datetime64("2008-07-10")
    assert weather.min_c[3, SPAN.index(date(2027, 7, 10))] == pytest.approx(series.min_c[row][0], rel=1e-6)
    after = series.dates == np.datetime64("2009-07-10")
    assert weather.max_c[3, SPAN.index(date(2028, 7, 10))] == pytest.approx(series.max_c[after][0], rel=1e-6)


@pytest.mark.parametrize(("years", "basis"), [(12, Basis.YEARS), (7, Basis.NORMALS), (3, Basis.NORMALS)])
def test_fewer_than_eight_years_serve_only_for_their_means(years: int, basis: Basis) -> None:
    weather = weather_years(yearly_climate(years), SPAN, today=date(2027, 5, 1), seed=1)
    assert weather is not None
    assert weather.basis is basis


def test_generated_years_keep_to_their_means_and_vary_as_measured_ones_do() -> None:
    low, high = generated_years(COOL_MARITIME, SPAN, seed=4)
    june = slice(SPAN.index(date(2027, 6, 1)), SPAN.index(date(2027, 7, 1)))
    middle = (low + high)[:, june] / 2
    assert middle.mean() == pytest.approx(13.5, abs=0.3)
    assert 2.2 < middle.std() < 3.2
    assert (high > low).all()


def test_what_was_measured_this_year_stands_in_every_weather_year() -> None:
    series = invented_series(23)
    weather = weather_years(Climate(daily=series), SPAN, today=date(2027, 5, 1), seed=1)
    assert weather is not None
    day, after = SPAN.index(date(2027, 4, 20)), SPAN.index(date(2027, 5, 2))
    assert np.ptp(weather.min_c[:, day]) == 0
    assert np.ptp(weather.min_c[:, after]) > 0
    assert np.ptp(weather.usual_min_c[:, day]) > 0


def test_there_is_no_weather_without_temperatures_or_frost_dates() -> None:
    assert weather_years(Climate(), SPAN, today=date(2027, 5, 1), seed=1) is None
    assert weather_years(monthly_climate(), SPAN, today=date(2027, 5, 1), seed=1) is not None
