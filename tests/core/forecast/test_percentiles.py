"""Laws of percentiles and of the season to expect."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from haulm.farm.weeks import Week
from haulm.forecast.percentiles import expected_stems, quantiles, week_percentiles

STEMS = hnp.arrays(np.int32, st.tuples(st.integers(1, 30), st.integers(1, 25)), elements=st.integers(0, 50))


def test_sorted_values_stand_at_weibull_positions() -> None:
    values = np.array([[40, 10, 30, 20]])
    assert quantiles(values, (0.1, 0.2, 0.5, 0.7, 0.95))[:, 0].tolist() == pytest.approx([10, 10, 25, 35, 40])


@given(STEMS)
def test_equal_weights_are_no_weights(stems: np.ndarray) -> None:
    count = stems.shape[1]
    weights = np.full(count, 1 / count)
    weights[0] += 1e-13
    assert np.allclose(quantiles(stems, (0.1, 0.5, 0.9)), quantiles(stems, (0.1, 0.5, 0.9), weights), atol=1e-6)


@given(STEMS, st.randoms(use_true_random=False))
def test_the_order_of_seasons_is_free(stems: np.ndarray, random: object) -> None:
    order = np.random.default_rng(stems.size).permutation(stems.shape[1])
    weights = np.arange(1, stems.shape[1] + 1) / np.arange(1, stems.shape[1] + 1).sum()
    here = quantiles(np.cumsum(stems, axis=0), (0.2, 0.5), weights)
    assert np.allclose(here, quantiles(np.cumsum(stems, axis=0)[:, order], (0.2, 0.5), weights[order]))


def test_a_heavy_season_decides() -> None:
    assert quantiles(np.array([[5, 100, 7]]), (0.5,), np.array([0.01, 0.98, 0.01]))[0, 0] > 90


@given(STEMS)
def test_the_season_to_expect_is_the_median_running_sum(stems: np.ndarray) -> None:
    daily = expected_stems(stems)
    assert daily.min() >= 0
    assert np.cumsum(daily).tolist() == np.floor(np.median(np.cumsum(stems, axis=0), axis=1)).tolist()


@given(STEMS, st.sampled_from((0.05, 0.5, 0.8)), st.integers(0, 1000))
def test_no_day_of_one_season_takes_stems_back_whatever_the_seasons_weigh(
    stems: np.ndarray, share: float, seed: int
) -> None:
    weights = np.random.default_rng(seed).dirichlet(np.full(stems.shape[1], 0.3))
    daily = expected_stems(stems, weights, share=share)
    by_day = np.floor(quantiles(np.cumsum(stems, axis=0), (share,), weights)[0] + 1e-9)
    assert daily.min() >= 0
    assert (np.cumsum(daily) <= by_day).all()
    assert daily.sum() == by_day[-1]


@given(STEMS)
def test_week_percentiles_are_those_of_week_sums(stems: np.ndarray) -> None:
    found = week_percentiles(stems, date(2026, 12, 30))
    days = {
        week: [
            row for row in range(len(stems)) if Week.of(date.fromordinal(date(2026, 12, 30).toordinal() + row)) == week
        ]
        for week in found
    }
    for week, rows in days.items():
        assert found[week][1] == int(np.median(stems[rows].sum(axis=0)))
        assert found[week][0] <= found[week][1] <= found[week][2]
    assert sum(len(rows) for rows in days.values()) == len(stems)
