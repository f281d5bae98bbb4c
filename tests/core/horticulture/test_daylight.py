"""Laws of daylight that hold anywhere."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.daylight import daylight_hours, fao56_daylight_hours, long_day_factor, short_day_factor

YEAR = np.arange(np.datetime64("2027-01-01"), np.datetime64("2028-01-01"))


@given(st.floats(-90, 90))
def test_daylight_lies_between_none_and_all_day(latitude: float) -> None:
    hours = daylight_hours(YEAR, latitude_deg=latitude)
    assert np.isfinite(hours).all()
    assert hours.min() >= 0
    assert hours.max() <= 24


@given(st.floats(-66, 66), st.integers(1, 366))
def test_two_hemispheres_share_twenty_four_hours_by_the_centre_of_the_sun(latitude: float, day: int) -> None:
    here, there = (fao56_daylight_hours(np.array([float(day)]), latitude_deg=sign * latitude) for sign in (1, -1))
    assert abs(here[0] + there[0] - 24) < 1e-9


@given(st.floats(30, 60))
def test_the_longest_day_is_in_june_in_the_north_and_in_december_in_the_south(latitude: float) -> None:
    assert YEAR[daylight_hours(YEAR, latitude_deg=latitude).argmax()].astype(object).month == 6
    assert YEAR[daylight_hours(YEAR, latitude_deg=-latitude).argmax()].astype(object).month == 12


def test_short_days_slow_growth_and_days_of_ten_hours_do_not() -> None:
    assert short_day_factor(np.array([6.0, 8.0, 9.0, 10.0, 16.0])).tolist() == [0.1, 0.1, 0.55, 1.0, 1.0]


def test_a_long_day_kind_keeps_its_full_pace_from_fourteen_hours_on() -> None:
    assert np.allclose(long_day_factor(np.array([8.0, 10.0, 12.0, 14.0, 18.0])), [0.5, 0.5, 0.75, 1.0, 1.0])
