"""Laws of frost dates worked out from weather years."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from haulm.forecast.frost_dates import usual_frost_dates
from haulm.forecast.inputs import Climate, DateLevels
from haulm.forecast.supply import forecast
from support.forecast_builders import crop, invented_series, setting, sowing, yearly_climate


def found(climate: Climate) -> tuple[DateLevels | None, DateLevels | None]:
    made = forecast([sowing(crop=crop())], climate, setting(seasons=20))
    assert made.seasons is not None
    return usual_frost_dates(made.seasons)


def test_frost_dates_are_those_of_the_coldest_nights() -> None:
    series = invented_series(10)
    in_year = (series.dates - series.dates.astype("datetime64[Y]")).astype(int)
    low = np.where((in_year == 99) | (in_year == 299), -1.0, 5.0)
    spring, autumn = found(Climate(daily=replace(series, min_c=low, max_c=low + 5)))
    assert spring is not None
    assert autumn is not None
    assert spring.p50 in {(4, 9), (4, 10)}
    assert autumn.p50 in {(10, 26), (10, 27)}


def test_levels_of_frost_dates_rise_through_the_year() -> None:
    spring, autumn = found(yearly_climate())
    assert spring is not None
    assert autumn is not None
    assert spring.p10 <= spring.p50 <= spring.p90
    assert autumn.p10 <= autumn.p50 <= autumn.p90


def test_a_place_without_frost_has_no_frost_dates() -> None:
    assert found(yearly_climate(warmer_c=30.0)) == (None, None)
    assert found(Climate(first_autumn_frost=DateLevels((9, 1), (10, 1), (11, 1)))) == (None, None)
