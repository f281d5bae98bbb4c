"""Laws of degree-days."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.thermal_time import degree_days, held_degree_days, mean_degree_days

TEMPERATURE = st.floats(-20, 35)
RANGE = st.floats(0, 20)


@given(TEMPERATURE, RANGE)
def test_the_sine_agrees_with_a_day_summed_minute_by_minute(low: float, spread: float) -> None:
    minutes = (np.arange(1440) + 0.5) / 1440
    curve = low + spread / 2 + spread / 2 * np.sin(2 * np.pi * minutes)
    summed = (np.clip(curve, 5, 30) - 5).mean()
    assert abs(degree_days(low, low + spread, base_c=5, upper_c=30) - summed) < 2e-3


@given(TEMPERATURE, RANGE, st.floats(0, 5))
def test_a_warmer_day_never_counts_less(low: float, spread: float, warmer: float) -> None:
    cold = degree_days(low, low + spread, base_c=5, upper_c=30)
    warm = degree_days(low + warmer, low + spread + warmer, base_c=5, upper_c=30)
    assert warm >= cold - 1e-9


@given(st.floats(-20, 5), RANGE)
def test_a_day_below_the_base_counts_nothing(high: float, spread: float) -> None:
    assert degree_days(high - spread, high, base_c=5, upper_c=30) < 1e-6
    assert mean_degree_days(high - spread, high, base_c=5) == 0
    assert held_degree_days(high - spread, high, base_c=5, upper_c=30) == 0


@given(TEMPERATURE, RANGE)
def test_fahrenheit_and_celsius_tell_of_the_same_warmth(low: float, spread: float) -> None:
    celsius = degree_days(low, low + spread, base_c=5, upper_c=30)
    fahrenheit = degree_days(low * 1.8 + 32, (low + spread) * 1.8 + 32, base_c=41, upper_c=86)
    assert abs(fahrenheit - celsius * 1.8) < 1e-6


@given(st.floats(30, 45), RANGE)
def test_heat_above_the_upper_limit_adds_nothing(low: float, spread: float) -> None:
    assert abs(degree_days(low, low + spread, base_c=5, upper_c=30) - 25) < 1e-6
