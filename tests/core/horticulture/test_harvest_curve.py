"""Laws of harvest curves, whatever the habit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.words import Habit
from haulm.horticulture.harvest_curve import HABITS, cumulative_curves, harvest_lengths


@given(st.sampled_from(Habit), st.integers(1, 200))
def test_daily_shares_are_never_negative_and_sum_to_one(habit: Habit, days: int) -> None:
    shares = HABITS[habit].daily_shares(days)
    assert len(shares) == days
    assert shares.min() >= 0
    assert shares.sum() == pytest.approx(1)


@given(st.sampled_from(Habit), st.floats(0.5, 30))
def test_a_cumulative_curve_rises_from_nothing_to_all(habit: Habit, weeks: float) -> None:
    curves = cumulative_curves(habit, weeks)
    assert (curves[:, 0] == 0).all()
    assert (curves[:, -1] == 1).all()
    assert (np.diff(curves, axis=1) >= 0).all()


@given(st.sampled_from(Habit), st.floats(0.5, 30))
def test_a_cumulative_curve_is_the_sum_of_its_daily_shares(habit: Habit, weeks: float) -> None:
    for curve, days in zip(cumulative_curves(habit, weeks), harvest_lengths(habit, weeks), strict=True):
        assert np.diff(curve[: days + 1]) == pytest.approx(HABITS[habit].daily_shares(days))


@given(st.sampled_from(Habit), st.floats(2, 30))
def test_harvests_last_as_long_as_the_crop_says_on_average(habit: Habit, weeks: float) -> None:
    assert np.mean(harvest_lengths(habit, weeks)) == pytest.approx(weeks * 7, abs=1)


def test_a_flush_gives_more_in_its_first_half_and_a_single_cut_equally() -> None:
    flush, single = (HABITS[habit].daily_shares(40) for habit in (Habit.FLUSH, Habit.SINGLE_CUT))
    assert flush[:20].sum() > 0.6
    assert single[:20].sum() == pytest.approx(0.5)
