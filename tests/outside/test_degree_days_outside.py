"""Degree-days against published values."""

from __future__ import annotations

import pytest

from haulm.horticulture.thermal_time import degree_days, held_degree_days, mean_degree_days

UC_IPM = [
    (38, 55, 1.19),
    (36, 67, 5.71),
    (33, 59, 2.34),
    (51, 73, 11.52),
    (61, 97, 18.04),
    (46, 62, 4.87),
    (49, 77, 11.55),
    (71, 97, 20.00),
]


@pytest.mark.parametrize(("low", "high", "expected"), UC_IPM)
def test_the_single_sine_is_that_of_uc_ipm(low: float, high: float, expected: float) -> None:
    """Checked against UC IPM's degree-day output, 50/70 F (UCANR-IGIS degree-day-challenge, MIT)."""
    assert degree_days(low, high, base_c=50, upper_c=70) == pytest.approx(expected, abs=0.0051)


@pytest.mark.parametrize(
    ("low", "high", "expected"), [(2, 18, 5.5623), (12, 36, 17.6920), (0, 36, 12.7444), (31, 38, 25), (-3, 4, 0)]
)
def test_the_single_sine_is_a_numeric_integral(low: float, high: float, expected: float) -> None:
    """Checked against a numeric integral of 200,000 points, 5/30 C."""
    assert degree_days(low, high, base_c=5, upper_c=30) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(("low", "high", "expected"), [(7, 14, 0.47), (7, 10, 0.0), (13, 14, 1.5)])
def test_the_single_sine_of_a_trait_package(low: float, high: float, expected: float) -> None:
    """Checked against the published tests of the R package TrenchR, 12/33 C."""
    assert degree_days(low, high, base_c=12, upper_c=33) == pytest.approx(expected, abs=0.01)


def test_the_sine_counts_more_than_the_average_when_the_night_is_below_the_base() -> None:
    """Checked against extension worked examples: 46/67 F, base 50 F: average 6.5, sine 7.26."""
    assert mean_degree_days(46, 67, base_c=50) == pytest.approx(6.5)
    assert degree_days(46, 67, base_c=50) == pytest.approx(7.26, abs=0.01)


@pytest.mark.parametrize(
    ("low", "high", "base", "expected"), [(64, 64, 53, 11), (51, 95, 60, 13), (30, 50, 50, 0), (46, 67, 50, 6.5)]
)
def test_simple_averages_of_extension_leaflets(low: float, high: float, base: float, expected: float) -> None:
    """Checked against extension worked examples of the simple average, in Fahrenheit."""
    assert mean_degree_days(low, high, base_c=base) == pytest.approx(expected)


@pytest.mark.parametrize(("low", "expected"), [(51, 18.5), (45, 18.0)])
def test_the_corn_rule_holds_both_extremes(low: float, expected: float) -> None:
    """Checked against the published 86/50 F rule, worked for a maximum of 95 F."""
    assert held_degree_days(low, 95, base_c=50, upper_c=86) == pytest.approx(expected)
