"""Laws of frost dates, killing nights and what they cost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.words import LifeCycle
from haulm.horticulture.frost import NEVER, SplitNormal, frost_days, next_frost, share_surviving


def test_the_three_levels_come_back_from_a_split_normal() -> None:
    levels = SplitNormal(280, 300, 330)
    assert [levels.quantile(share) for share in (0.1, 0.5, 0.9)] == pytest.approx([280, 300, 330])
    assert levels.mean == pytest.approx(303.1, abs=0.05)


@given(st.integers(0, 300), st.integers(1, 40), st.integers(1, 40))
def test_a_later_share_of_years_is_never_an_earlier_day(p10: int, below: int, above: int) -> None:
    levels = SplitNormal(p10, p10 + below, p10 + below + above)
    days = [levels.quantile(share / 20) for share in range(1, 20)]
    assert days == sorted(days)


@given(st.lists(st.floats(-10, 10), min_size=1, max_size=30), st.floats(-5, 5))
def test_the_next_frost_is_the_first_day_at_or_below_the_level(minima: list[float], level: float) -> None:
    low = np.array([minima], dtype=np.float32)
    for day, found in enumerate(next_frost(low, level)[0]):
        later = [at for at in range(day, len(minima)) if low[0, at] <= level]
        assert found == (later[0] if later else NEVER)


def test_a_hardier_crop_is_struck_later_in_autumn_and_earlier_in_spring() -> None:
    levels, z = SplitNormal(280, 290, 300), np.array([-1.0, 0.0, 1.0])
    tender, hardy = (frost_days(levels, z, kill_c=level, autumn=True) for level in (0.0, -4.0))
    assert (hardy > tender).all()
    tender, hardy = (frost_days(levels, z, kill_c=level, autumn=False) for level in (0.0, -4.0))
    assert (hardy < tender).all()


def test_frost_stays_away_in_the_share_of_autumns_without_one() -> None:
    z = np.random.default_rng(1).standard_normal(4000)
    days = frost_days(SplitNormal(280, 290, 300), z, kill_c=0, autumn=True, none_share=0.25)
    assert (days == NEVER).mean() == pytest.approx(0.25, abs=0.02)


def test_each_frost_night_takes_its_share_of_tender_plants_and_none_of_perennials() -> None:
    nights = np.array([0, 1, 2])
    assert share_surviving(nights, LifeCycle.TENDER_ANNUAL).tolist() == pytest.approx([1, 0.4, 0.16])
    assert share_surviving(nights, LifeCycle.PERENNIAL).tolist() == [1, 1, 1]
