"""Laws of typical seasons: they were drawn, they are poor, middling and good, and the same whatever the order."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from haulm.farm.weeks import Week
from haulm.forecast.typical import BAND, TYPICAL, TypicalSeason, side_by_side, typical_by_week, typical_seasons

STEMS = hnp.arrays(np.int32, st.tuples(st.integers(1, 20), st.integers(1, 60)), elements=st.integers(0, 9))
FIRST = Week(2026, 50)


def weights_for(stems: np.ndarray, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).dirichlet(np.full(stems.shape[1], 0.4))


def weeks_of(stems: np.ndarray) -> list[Week]:
    return [FIRST.plus(row) for row in range(len(stems))]


def places(stems: np.ndarray, weights: np.ndarray, picked: int) -> tuple[float, float]:
    """The least and the greatest share of weight at which seasons with as many stems as the picked one stand."""
    total = stems.sum(axis=0)
    share = np.where(total > 0, weights, 0.0) / weights[total > 0].sum()
    return share[total < total[picked]].sum(), share[total <= total[picked]].sum()


@given(STEMS, st.integers(0, 1000))
def test_they_are_seasons_that_give_stems_and_give_never_less_from_poor_to_good(stems: np.ndarray, seed: int) -> None:
    found = typical_seasons(stems, weights_for(stems, seed))
    if found is None:
        assert not stems.any()
        return
    poor, middling, good = (int(stems[:, season].sum()) for season in found)
    assert 0 < poor <= middling <= good


@given(STEMS, st.integers(0, 1000))
def test_each_lies_in_its_band_of_the_weight_wherever_a_season_does(stems: np.ndarray, seed: int) -> None:
    weights = weights_for(stems, seed)
    found = typical_seasons(stems, weights)
    for (_, level), season in zip(TYPICAL, found or (), strict=bool(found)):
        low, high = places(stems, weights, season)
        heaviest = weights[stems.any(axis=0)].max() / weights[stems.any(axis=0)].sum()
        assert low - heaviest - 1e-9 <= level + BAND
        assert high + heaviest + 1e-9 >= level - BAND


@given(STEMS, st.integers(0, 1000))
def test_the_order_of_the_seasons_changes_no_total(stems: np.ndarray, seed: int) -> None:
    weights = np.full(stems.shape[1], 1 / stems.shape[1])
    order = np.random.default_rng(seed).permutation(stems.shape[1])
    here, there = typical_seasons(stems, weights), typical_seasons(stems[:, order], weights[order])
    assert (here is None) == (there is None)
    if here is not None and there is not None:
        assert stems[:, here].sum(axis=0).tolist() == stems[:, order][:, there].sum(axis=0).tolist()


def test_of_seasons_alike_in_stems_the_one_that_comes_when_most_do_stands_for_them() -> None:
    stems = np.zeros((10, 100), np.int32)
    stems[np.where(np.arange(100) % 9 == 0, 9, 4), np.arange(100)] = 100 + np.arange(100)
    found = typical_seasons(stems)
    assert found is not None
    assert [int(np.argmax(stems[:, season])) for season in found] == [4, 4, 4]
    assert [int(stems[:, season].sum()) - 100 for season in found] == [10, 49, 89]


def test_a_batch_that_surely_flowers_is_nought_in_no_typical_season_though_every_week_is_in_the_middle() -> None:
    stems = np.zeros((7, 70), np.int32)
    stems[np.arange(70) % 7, np.arange(70)] = 50
    assert np.median(stems, axis=1).tolist() == [0.0] * 7
    assert [one.stems for one in typical_by_week(stems, weeks_of(stems))] == [50, 50, 50]


@given(STEMS, st.integers(0, 1000))
def test_the_weeks_of_a_season_add_up_to_it_and_begin_and_end_with_stems(stems: np.ndarray, seed: int) -> None:
    weights = weights_for(stems, seed)
    picked, found = typical_seasons(stems, weights), typical_by_week(stems, weeks_of(stems), weights)
    for season, one in zip(picked or (), found, strict=True):
        assert [count for _, count in one.weeks] == np.trim_zeros(stems[:, season]).tolist()
        assert sum(count for _, count in one.weeks) == one.stems


def test_days_of_a_week_are_added_up() -> None:
    stems = np.array([[1], [2], [4]], np.int32)
    (season, *_) = typical_by_week(stems, [FIRST, FIRST, FIRST.plus(1)])
    assert season.weeks == ((FIRST, 3), (FIRST.plus(1), 4))


def test_seasons_side_by_side_have_every_week_between_the_first_and_the_last() -> None:
    early = TypicalSeason("poor", 3, ((FIRST, 3),))
    late = TypicalSeason("good", 5, ((FIRST.plus(3), 5),))
    assert side_by_side([early, late]) == (
        (FIRST, (3, 0)),
        (FIRST.plus(1), (0, 0)),
        (FIRST.plus(2), (0, 0)),
        (FIRST.plus(3), (0, 5)),
    )
    assert side_by_side([]) == ()
