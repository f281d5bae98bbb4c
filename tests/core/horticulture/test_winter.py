"""Laws of crowns, hardening and what of a batch lives through a winter."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.words import LifeCycle, WinterCover
from haulm.horticulture.winter import (
    HARDENING_A_DAY,
    SOFTENING_A_DAY,
    Hardiness,
    Shelter,
    crown_c,
    hardening,
    lives_as_crown,
    stage_hardness,
    survival,
    trailing_mean,
)

LARKSPUR = Hardiness(-5.0, -15.0)
MORE_COVER = (
    (WinterCover.NONE, WinterCover.FLEECE),
    (WinterCover.FLEECE, WinterCover.LOW_COVER),
    (WinterCover.NONE, WinterCover.MULCH),
    (WinterCover.NONE, WinterCover.SNOW),
)
temperatures = st.lists(st.tuples(st.floats(-40, 15), st.floats(-30, 15)), min_size=1, max_size=20)
shelters = st.builds(Shelter, st.booleans(), st.sampled_from(WinterCover), st.booleans())


def column(values: list[float]) -> npt.NDArray[np.float32]:
    return np.array(values, dtype=np.float32)[:, None]


def crowns(nights: list[tuple[float, float]], shelter: Shelter) -> npt.NDArray[np.float32]:
    low, ground = (column([night[part] for night in nights]) for part in (0, 1))
    return crown_c(low, ground, shelter, snow=np.ones(len(nights), dtype=bool))


@pytest.mark.parametrize(
    ("shelter", "expected"),
    [
        (Shelter(), 0.5 * -20 + 0.5 * -4),
        (Shelter(cover=WinterCover.LOW_COVER), 0.5 * -17 + 0.5 * -4),
        (Shelter(cover=WinterCover.MULCH), 0.25 * -20 + 0.75 * -4),
        (Shelter(cover=WinterCover.SNOW), 0.25 * -20 + 0.75 * -2),
        (Shelter(buried=True), 0.25 * -20 + 0.75 * -4),
        (Shelter(tunnel=True), 0.5 * -18.5 + 0.5 * -1),
        (Shelter(tunnel=True, cover=WinterCover.LOW_COVER), 0.5 * -15.5 + 0.5 * -1),
        (Shelter(tunnel=True, cover=WinterCover.SNOW), 0.5 * -18.5 + 0.5 * -1),
    ],
)
def test_a_crown_has_its_share_of_the_night_and_of_ground_that_cools_no_further(
    shelter: Shelter, expected: float
) -> None:
    assert crowns([(-20, -9)], shelter)[0, 0] == pytest.approx(expected)


def test_snow_counts_only_on_days_on_which_it_lies_at_the_place() -> None:
    low, ground = column([-10, -10]), column([-6, -6])
    found = crown_c(low, ground, Shelter(cover=WinterCover.SNOW), snow=np.array([True, False]))
    assert found[:, 0].tolist() == pytest.approx([0.25 * -10 + 0.75 * -2, 0.5 * -10 + 0.5 * -4])


@given(temperatures, shelters, st.floats(0, 20))
def test_colder_nights_never_warm_a_crown(nights: list[tuple[float, float]], shelter: Shelter, colder: float) -> None:
    warm = crowns(nights, shelter)
    assert (crowns([(low - colder, ground) for low, ground in nights], shelter) <= warm + 1e-4).all()
    assert (crowns([(low, ground - colder) for low, ground in nights], shelter) <= warm + 1e-4).all()


@given(temperatures, st.booleans(), st.booleans(), st.sampled_from(MORE_COVER))
def test_more_cover_never_cools_a_crown(
    nights: list[tuple[float, float]], tunnel: bool, buried: bool, more: tuple[WinterCover, WinterCover]
) -> None:
    less, better = (crowns(nights, Shelter(tunnel, cover, buried)) for cover in more)
    assert (better >= less - 1e-4).all()
    for cover in more:
        if cover is not WinterCover.SNOW:
            assert (crowns(nights, Shelter(True, cover, buried)) >= crowns(nights, Shelter(False, cover, buried))).all()


@given(temperatures, st.lists(st.floats(0, 1), min_size=20, max_size=20), st.floats(0, 20), st.floats(0, 1))
def test_survival_falls_with_the_cold_and_never_with_hardness(
    nights: list[tuple[float, float]], hard: list[float], colder: float, harder: float
) -> None:
    crown, hardness = column([night[0] for night in nights]), column(hard[: len(nights)])
    alive = survival(crown, hardness, LARKSPUR)
    assert (survival(crown - np.float32(colder), hardness, LARKSPUR) <= alive).all()
    assert (survival(crown, np.minimum(1, hardness + np.float32(harder)), LARKSPUR) >= alive).all()
    assert (survival(crown, hardness, Hardiness(-5.0, -18.0)) >= alive).all()
    assert ((alive >= 0) & (alive <= 1)).all()


def test_half_die_where_the_crown_is_as_cold_as_their_hardiness_stands() -> None:
    crown, hard = column([3, -10, 2]), column([0, 0.5, 0])
    assert survival(crown, hard, LARKSPUR)[0] == pytest.approx(0.5, abs=1e-6)
    assert survival(crown + np.float32(1.5), hard, LARKSPUR)[0] == pytest.approx(1 / (1 + np.exp(-1)), abs=1e-6)
    assert survival(crown[:0], hard[:0], LARKSPUR).tolist() == [1.0]


def test_a_plant_that_shoots_is_half_as_hardened_and_in_bud_not_at_all() -> None:
    stage = stage_hardness(np.arange(4), np.array([1, 9]), np.array([3, 9]))
    assert stage[:, 0].tolist() == [1.0, 0.5, 0.5, 0.0]
    assert (stage[:, 1] == 1).all()
    crown, hard = column([-10]), column([1])
    alive = [survival(crown, hard, LARKSPUR, stage=column([left]))[0] for left in (1.0, 0.5, 0.0)]
    assert alive == sorted(alive, reverse=True)
    assert alive[1] == pytest.approx(0.5, abs=1e-6)


@given(st.lists(st.floats(-20, 25), min_size=2, max_size=60))
def test_hardening_goes_no_faster_than_it_can_and_no_further_than_the_cold_calls_for(mean_c: list[float]) -> None:
    hard = hardening(column(mean_c))[:, 0]
    steps = np.diff(hard)
    assert ((steps <= HARDENING_A_DAY + 1e-6) & (steps >= -SOFTENING_A_DAY - 1e-6)).all()
    wanted = np.clip((10 - np.array(mean_c)) / 10, 0, 1)
    assert ((hard >= wanted.min() - 1e-6) & (hard <= wanted.max() + 1e-6)).all()


@given(st.lists(st.floats(-20, 25), min_size=1, max_size=60), st.floats(0, 10))
def test_a_colder_autumn_never_hardens_less(mean_c: list[float], colder: float) -> None:
    assert (hardening(column(mean_c) - np.float32(colder)) >= hardening(column(mean_c)) - 1e-6).all()


def test_two_weeks_of_cold_harden_and_a_week_of_warmth_softens() -> None:
    hard = hardening(column([15.0, *[-2.0] * 14, *[15.0] * 7]))[:, 0]
    assert hard[0] == 0
    assert hard[12] == pytest.approx(1)
    assert hard[-1] == 0


def test_a_trailing_mean_takes_the_day_itself_and_those_before_it() -> None:
    low, high = column([0, 2, 4, 6]), column([2, 4, 6, 8])
    assert trailing_mean(low, high, days=2)[:, 0].tolist() == [1, 2, 4, 6]


def test_what_winters_below_the_ground_is_a_crown() -> None:
    crowned = {kind for kind in LifeCycle if lives_as_crown(kind)}
    assert crowned == {LifeCycle.PERENNIAL, LifeCycle.BULB_TUBER}
