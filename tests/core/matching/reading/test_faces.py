"""The faces of doubt: seasons out of ten that add up to ten and never say more than is sure."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.matching.reading.faces import Faces, OfTen, faces, middling
from haulm.matching.supply import FloatArray

seasons = st.lists(st.tuples(st.integers(0, 9), st.integers(1, 9)), min_size=1, max_size=12)


def _faces(stems: list[int], weights: FloatArray, asked: int) -> Faces:
    filled = np.array(stems, np.int32)
    return faces(filled, filled == asked, asked, weights)


@given(seasons)
def test_seasons_add_up_to_ten_and_none_is_surer_than_it_is(drawn: list[tuple[int, int]]) -> None:
    weights = np.array([weight for _, weight in drawn], np.float64)
    found = _faces([stems for stems, _ in drawn], weights / weights.sum(), 9)
    ten = found.of_ten

    assert ten.all + ten.part + ten.none == 10
    assert min(ten.all, ten.part, ten.none) >= 0
    assert ten.all / 10 <= found.all + 1e-9
    assert (ten.all + ten.part) / 10 <= found.all + found.part + 1e-9
    assert abs(found.all + found.part + found.none - 1) < 1e-9
    assert (ten.all == 10) == all(stems == 9 for stems, _ in drawn)


@given(seasons)
def test_the_usual_part_is_a_part_that_half_of_those_seasons_do_not_pass(drawn: list[tuple[int, int]]) -> None:
    weights = np.array([weight for _, weight in drawn], np.float64)
    found = _faces([stems for stems, _ in drawn], weights / weights.sum(), 9)
    parts = [stems for stems, weight in drawn if 0 < stems < 9 for _ in range(weight)]

    assert found.usual_part == (sorted(parts)[(len(parts) - 1) // 2] if parts else 0)


def test_all_in_six_a_part_in_two_none_in_two() -> None:
    weights = np.array([0.64, 0.1, 0.1, 0.16])
    found = _faces([160, 90, 60, 0], weights, 160)

    assert (found.of_ten, found.usual_part) == (OfTen(6, 2, 2), 60)


def test_three_tenths_that_floating_point_makes_less_are_three() -> None:
    assert _faces([5, 0], np.array([0.1 + 0.2 - 1e-16, 0.7]), 5).of_ten == OfTen(3, 0, 7)


def test_several_lines_are_all_there_only_where_each_is() -> None:
    filled = np.array([10, 10, 4], np.int32)
    found = faces(filled, np.array([True, False, False]), 10, np.array([0.5, 0.25, 0.25]))

    assert (found.all, found.part, found.none) == (0.5, 0.5, 0.0)


def test_middling_of_no_season_is_nought() -> None:
    assert middling(np.array([3], np.int32), np.array([False]), np.array([1.0])) == 0
