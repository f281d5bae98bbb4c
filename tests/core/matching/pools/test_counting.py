"""The two ways to count give the same numbers, and the quicker one is taken where it fits."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.matching.allocation.match import match
from haulm.matching.pools.counting import CannotCount, Count, Engine, counted
from haulm.matching.pools.grouping import PoolView, pool_view
from haulm.matching.pools.intervals import interval_order
from haulm.matching.supply import BoolArray, IntArray
from support.random_farms import random_farm
from support.small_match import standing


@st.composite
def instances(draw: st.DrawFn) -> tuple[PoolView, list[tuple[int, list[int]]]]:
    """A pool seen by up to six windows (intervals or not) over four seasons, and gifts asked one after the other."""
    lots = draw(st.integers(1, 7))
    solid = draw(st.booleans())
    masks = []
    for _ in range(draw(st.integers(1, 6))):
        ends = sorted((draw(st.integers(0, lots - 1)), draw(st.integers(0, lots - 1))))
        row = [ends[0] <= lot <= ends[1] for lot in range(lots)]
        masks.append(np.array(row if solid else draw(st.lists(st.booleans(), min_size=lots, max_size=lots))))
    pool = standing({lot: draw(st.lists(st.integers(0, 4), min_size=4, max_size=4)) for lot in range(lots)})
    view = pool_view(pool, masks)
    windows = [window for window in view.place if window >= 0]
    gifts = st.tuples(st.sampled_from(windows), st.lists(st.integers(0, 5), min_size=4, max_size=4))
    return view, draw(st.lists(gifts, max_size=8)) if windows else []


def amounts(view: PoolView, gifts: list[tuple[int, list[int]]], engine: Engine) -> list[list[int]]:
    """What is given of each gift."""
    count = Count(view, engine=engine)
    found = []
    for window, ask in gifts:
        stems = np.minimum(np.array(ask, np.int32), count.most(window))
        count.give(window, stems)
        found.append(stems.tolist())
    return found


def fitting(view: PoolView) -> list[Engine]:
    """The engines that fit a pool."""
    return [Engine.FLOW] if interval_order(view.accept) is None else list(Engine)


@given(instances())
def test_both_engines_give_the_same(instance: tuple[PoolView, list[tuple[int, list[int]]]]) -> None:
    view, gifts = instance
    answers = [amounts(view, gifts, engine) for engine in fitting(view)]

    assert all(answer == answers[0] for answer in answers)


@given(instances())
def test_what_can_be_given_is_what_all_unions_of_windows_leave(
    instance: tuple[PoolView, list[tuple[int, list[int]]]],
) -> None:
    view, gifts = instance
    given_stems = gifts_by_window(view, gifts)
    sets = [
        tuple(window for window in range(len(view.accept)) if bits >> window & 1)
        for bits in range(1, 2 ** len(view.accept))
    ]
    slack = {
        windows: view.stems[view.accept[list(windows)].any(axis=0)].sum(axis=0) - given_stems[list(windows)].sum(axis=0)
        for windows in sets
    }
    least = [
        np.min([room for windows, room in slack.items() if own in windows], axis=0) for own in range(len(view.accept))
    ]

    for engine in fitting(view):
        left = Count(view, given_stems, engine).left(range(len(view.accept)))
        assert np.broadcast_to(left, (len(least), 4)).tolist() == np.array(least, np.int32).reshape(-1, 4).tolist()


@given(instances())
def test_what_is_left_after_gifts_at_once_is_what_is_left_after_gifts_one_by_one(
    instance: tuple[PoolView, list[tuple[int, list[int]]]],
) -> None:
    view, gifts = instance
    windows = list(range(len(view.accept)))
    for engine in fitting(view):
        one_by_one = Count(view, np.zeros((len(windows), 4), np.int32), engine)
        for (window, _), stems in zip(gifts, amounts(view, gifts, engine), strict=True):
            one_by_one.give(window, np.array(stems, np.int32))
        left = Count(view, gifts_by_window(view, gifts), engine).left(windows)
        assert left.tolist() == one_by_one.left(windows).tolist()


def gifts_by_window(view: PoolView, gifts: list[tuple[int, list[int]]]) -> IntArray:
    """What each window is given of its gifts, one after the other, shape (windows, 4)."""
    found = np.zeros((len(view.accept), 4), np.int32)
    for (window, _), stems in zip(gifts, amounts(view, gifts, Engine.FLOW), strict=True):
        found[window] += np.array(stems, np.int32)
    return found


@given(st.integers(0, 10**6))
def test_a_match_is_the_same_whichever_engine_counts(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=4)
    filled = match(farm.lines, farm.supply, farm.keeping).filled_all()

    assert np.array_equal(filled, match(farm.lines, farm.supply, farm.keeping, engine=Engine.FLOW).filled_all())


def view_of(*rows: list[int]) -> PoolView:
    """A pool of one stem per lot, as windows see it."""
    masks: list[BoolArray] = [np.array(row, np.bool_) for row in rows]
    return pool_view(standing(dict.fromkeys(range(len(rows[0])), 1)), masks)


def test_windows_that_rise_at_both_ends_are_one_layer_and_windows_inside_others_the_next() -> None:
    rising, nested = ([1, 1, 0], [0, 1, 1]), ([1, 1, 1, 0], [0, 1, 0, 0], [0, 0, 1, 1])

    assert [len(counted(view_of(*rows))[0].bands) for rows in (rising, nested)] == [1, 2]


def test_windows_that_are_no_intervals_are_counted_by_flow() -> None:
    stars = view_of(*([int(lot in (window, 4)) for lot in range(5)] for window in range(4)))

    assert counted(stars)[0].accept is not None
    with pytest.raises(CannotCount):
        counted(stars, Engine.NESTED)


def test_a_window_inside_another_keeps_what_it_was_given_and_counts_what_is_left() -> None:
    # One stem in each of three lots; the outer window takes one of them, then the two side lots are given away.
    view = view_of([1, 1, 1], [0, 1, 0], [1, 0, 0], [0, 0, 1])
    count = Count(view)
    outer, inner, left, right = view.place
    one = np.array([1], np.int32)
    count.give(outer, one)
    count.give(left, one)

    assert [count.most(window).tolist() for window in (inner, right, outer)] == [[1], [1], [1]]
    count.give(right, one)
    assert [count.most(window).tolist() for window in (inner, outer)] == [[0], [0]]
