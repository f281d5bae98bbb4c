"""Laws of progress towards flower."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.germination import germination_delay, germination_share
from haulm.horticulture.time_to_flower import (
    KINDS,
    Reference,
    cumulative_progress,
    daily_pace,
    first_day_reached,
    laid_end_to_end,
    reference_pace,
)

LIGHT = np.ones(200, dtype=np.float32)


def warmth(seed: int = 1, years: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).uniform(0, 15, (years, 200)).astype(np.float32)


@given(st.floats(2, 25))
def test_the_stated_weeks_come_back_at_the_reference(weeks: float) -> None:
    usual = np.full((1, 200), 8, dtype=np.float32)
    progress = cumulative_progress(usual, LIGHT, reference_pace(usual, LIGHT, weeks=weeks, germination_days=10))
    days = round(weeks * 7)
    assert np.allclose(progress[0, :, days], 1)


def test_a_day_without_warmth_makes_no_progress_however_insensitive_the_crop() -> None:
    cold = np.zeros((1, 5), dtype=np.float32)
    for sensitivity in KINDS:
        assert not daily_pace(cold, LIGHT[:5], reference_warmth=8, sensitivity=sensitivity).any()


def test_progress_is_the_running_sum_of_the_daily_pace() -> None:
    days = warmth()
    reference = reference_pace(days, LIGHT, weeks=12, germination_days=10)
    progress = cumulative_progress(days, LIGHT, reference)
    for row, a in enumerate(KINDS):
        pace = daily_pace(days, LIGHT, reference_warmth=reference.warmth, sensitivity=a)
        assert np.allclose(np.diff(progress[:, row], axis=1), pace / reference.pace[row], atol=1e-6)


@given(st.integers(1, 2999), st.integers(0, 2))
def test_the_first_day_reached_is_the_first_before_which_enough_was_made(thousandths: int, row: int) -> None:
    need = thousandths / 1000
    progress = cumulative_progress(warmth(), LIGHT, Reference(8, np.full(3, 90.0), np.zeros(3)))[:, KINDS.index(1.0)]
    laid = laid_end_to_end(progress)
    found = first_day_reached(laid, np.array([row]), laid[row, :1] + need)[0]
    enough = np.flatnonzero(progress[row] >= need)
    assert found == (enough[0] if len(enough) else 201)


def test_germination_takes_its_stated_mean_and_spread() -> None:
    delays = germination_delay(10, 0.4, np.random.default_rng(1).standard_normal(20_000))
    assert delays.mean() == pytest.approx(10, rel=0.01)
    assert delays.std() == pytest.approx(4, rel=0.03)
    assert delays.min() >= 0


def test_seed_that_never_germinates_gives_nothing() -> None:
    assert not germination_share(0.0, np.random.default_rng(1), 10).any()
