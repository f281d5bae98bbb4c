"""Laws of spring growth after winter."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.spring_growth import (
    WinterDays,
    cold_had,
    cold_of_days,
    growth_starts,
    spring_warmth,
    warmth_needed,
)

DAYS = WinterDays(cold_from=10, cold_by=150, grows_from=100, end=300)
MEANS = st.lists(st.floats(-10, 20), min_size=300, max_size=300)


def temperatures(means: list[float]) -> tuple[np.ndarray, np.ndarray]:
    mean = np.array([means], dtype=np.float32)
    return mean - 4, mean + 4


def test_a_day_is_cold_by_its_mean_whole_at_seven_degrees_and_not_at_all_at_twelve() -> None:
    means = np.array([[-20, 7, 9.5, 12, 30]], dtype=np.float32)

    assert np.allclose(cold_of_days(means - 3, means + 3), [[1, 1, 0.5, 0, 0]])


@given(MEANS, st.floats(0, 150))
def test_growth_starts_when_its_time_has_come_and_the_cold_was_had_or_never(means: list[float], needed: float) -> None:
    had = cold_had(cold_of_days(*temperatures(means)), DAYS)
    start = int(growth_starts(had, DAYS, needed)[0])

    if start < DAYS.end:
        assert start >= DAYS.grows_from
        assert needed <= 0 or had[0, min(start, DAYS.cold_by - 1) - DAYS.cold_from] >= needed
    else:
        assert had[0, -1] < needed


@given(MEANS, st.floats(1, 150), st.floats(0, 8))
def test_a_colder_winter_never_starts_growth_later(means: list[float], needed: float, colder: float) -> None:
    low, high = temperatures(means)
    usual, cold = (
        growth_starts(cold_had(cold_of_days(low - off, high - off), DAYS), DAYS, needed)[0] for off in (0, colder)
    )

    assert cold <= usual


@given(MEANS, st.floats(1, 150), st.integers(0, 140), st.integers(0, 60))
def test_planted_or_grown_up_later_growth_never_starts_earlier(
    means: list[float], needed: float, since: int, later: int
) -> None:
    cold = cold_of_days(*temperatures(means))
    first, second = (
        growth_starts(cold_had(cold, DAYS, np.array([day])), DAYS, needed)[0] for day in (since, since + later)
    )

    assert first <= second


@given(MEANS, st.integers(120, 299))
def test_the_warmth_needed_is_had_on_the_day_it_was_stated_for(means: list[float], until: int) -> None:
    warmth = np.maximum(0, np.array([means], dtype=np.float32))
    starts = np.array([110])
    need = warmth_needed(warmth, starts, until)
    made = spring_warmth(warmth, starts)[0]

    assert made[110] == 0
    assert need == 1.0 or np.isclose(made[until], need)
