"""How much of a figure's variance lies between groups of seasons, less what chance alone would give."""

from __future__ import annotations

import numpy as np
import pytest

from haulm.forecast.parts_of_doubt import explained

SEASONS = 4000
EQUAL = np.full(SEASONS, 1 / SEASONS)
RNG = np.random.default_rng(3)
LABELS = RNG.integers(0, 40, SEASONS)


def test_a_figure_that_the_group_tells_is_wholly_explained() -> None:
    assert explained(LABELS.astype(float), EQUAL, LABELS) == pytest.approx(1)


def test_a_figure_that_has_nothing_to_do_with_the_group_is_not_explained() -> None:
    plain = [explained(RNG.normal(size=SEASONS), EQUAL, LABELS) for _ in range(50)]
    assert np.mean(plain) < 0.005


def test_of_a_sum_the_part_is_its_share_of_the_variance() -> None:
    effect = RNG.normal(size=40)
    effect /= effect[LABELS].std()
    noise = RNG.normal(size=SEASONS)
    assert explained(effect[LABELS] + 2 * noise, EQUAL, LABELS) == pytest.approx(0.2, abs=0.03)


def test_a_season_that_counts_twice_is_as_two_seasons() -> None:
    values, labels = RNG.normal(size=60) + np.repeat([0.0, 1.0, 3.0], 20), np.repeat([0, 1, 2], 20)
    weights = np.full(60, 1 / 60)
    between = explained(values, weights, labels)
    mean = values.mean()
    by_hand = sum(20 * (values[labels == k].mean() - mean) ** 2 for k in range(3)) / ((values - mean) ** 2).sum()
    assert between == pytest.approx(1 - (1 - by_hand) * 59 / 57)


def test_weights_that_differ_are_no_explanation() -> None:
    weights = RNG.dirichlet(np.full(SEASONS, 0.1))
    plain = [explained(RNG.normal(size=SEASONS), weights, LABELS) for _ in range(100)]
    assert np.mean(plain) < 0.03
    effect = RNG.normal(size=40)
    told = [explained(effect[LABELS] + 0.01 * RNG.normal(size=SEASONS), weights, LABELS) for _ in range(5)]
    assert min(told) > 0.95


def test_groups_of_one_season_each_tell_nothing() -> None:
    assert explained(RNG.normal(size=50), np.full(50, 1 / 50), np.arange(50)) == 0
