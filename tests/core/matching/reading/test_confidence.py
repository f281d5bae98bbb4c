"""How sure a line or an order is."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.quantities import reaches
from haulm.matching.allocation.match import match
from haulm.matching.reading.confidence import confidence, expected_missing, joint_confidence
from support.random_farms import random_farm
from support.small_match import AMMI, kept, line, rules, standing, supply

WEIGHTS = (0.5, 0.3, 0.2)


def test_a_line_is_as_sure_as_the_seasons_that_fill_it_weigh() -> None:
    result = match([line("a", 9, 6)], supply(standing({7: [6, 5, 9]}), weights=WEIGHTS), rules())

    assert confidence(result, 0) == pytest.approx(0.7)


def test_an_order_is_sure_only_in_seasons_that_fill_all_its_lines() -> None:
    # Each line alone is filled in two seasons of three, both only in the first.
    pools = (standing({7: [6, 6, 0]}, length_cm=30), standing({7: [6, 0, 6]}, length_cm=50))
    under = rules({AMMI: kept()})
    tall = line("tall", 9, 6, min_length_cm=40, order="a")
    result = match([tall, line("short", 9, 6, order="b")], supply(*pools, weights=WEIGHTS), under)

    assert confidence(result, 0) == pytest.approx(0.7)
    assert confidence(result, 1) == pytest.approx(0.8)
    assert joint_confidence(result, (0, 1)) == pytest.approx(0.5)


def test_missing_stems_are_the_weighted_mean_over_seasons() -> None:
    result = match([line("a", 9, 6)], supply(standing({7: [6, 4, 1]}), weights=WEIGHTS), rules())

    assert expected_missing(result, 0) == pytest.approx(0.3 * 2 + 0.2 * 5)


def test_a_line_that_is_always_filled_is_exactly_sure_whatever_its_weights_add_up_to() -> None:
    result = match([line("a", 9, 6)], supply(standing({7: [6] * 10}), weights=(0.1,) * 10), rules())

    assert confidence(result, 0) == 1.0


def test_a_level_is_reached_in_spite_of_rounded_weights() -> None:
    assert reaches(0.1 + 0.2 + 0.5 - 1e-12, 0.8)
    assert not reaches(0.7999, 0.8)


@given(st.integers(0, 10**6))
def test_an_order_is_never_surer_than_any_of_its_lines(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=5)
    result = match(farm.lines, farm.supply, farm.keeping)
    places = range(len(result.lines))

    assert joint_confidence(result, places) <= min(confidence(result, place) for place in places) + 1e-9
