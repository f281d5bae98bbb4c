"""The four ways to count give the same numbers, and the narrowest is taken."""

import random

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.matching.agreeable import AgreeableCount
from haulm.matching.counting import CannotCount, Engine, exact_count
from haulm.matching.flow import FlowCount
from haulm.matching.grouping import PoolView, pool_view
from haulm.matching.layered import LayeredCount
from haulm.matching.match import match
from haulm.matching.supply import BoolArray, IntArray
from haulm.matching.unions import UnionCount, closed_sets
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


def amounts(view: PoolView, gifts: list[tuple[int, list[int]]], engine: Engine, *, narrow: bool) -> list[list[int]]:
    """What is given of each gift, and then what is left per window."""
    count = exact_count(view, engine)
    if narrow:
        count.narrow([sum(max(ask) for window, ask in gifts if window == place) for place in range(len(view.accept))])
    found = []
    for window, ask in gifts:
        most = count.most(window)
        stems = np.array(ask, np.int32) if most is None else np.minimum(np.array(ask, np.int32), most)
        count.give(window, stems)
        found.append(stems.tolist())
    return found


def fitting(view: PoolView) -> list[Engine]:
    """The engines that fit a pool."""
    found = []
    for engine in Engine:
        try:
            exact_count(view, engine)
        except CannotCount:
            continue
        found.append(engine)
    return found


@given(instances())
def test_all_engines_give_the_same_with_and_without_forgetting_what_cannot_bind(
    instance: tuple[PoolView, list[tuple[int, list[int]]]],
) -> None:
    view, gifts = instance
    answers = [amounts(view, gifts, engine, narrow=narrow) for engine in fitting(view) for narrow in (False, True)]

    assert all(answer == answers[0] for answer in answers)


@given(instances())
def test_what_is_left_after_gifts_at_once_is_what_is_left_after_gifts_one_by_one(
    instance: tuple[PoolView, list[tuple[int, list[int]]]],
) -> None:
    view, gifts = instance
    windows = list(range(len(view.accept)))
    given_stems = np.zeros((len(windows), 4), np.int32)
    one_by_one = exact_count(view, Engine.FLOW)
    for (window, _), stems in zip(gifts, amounts(view, gifts, Engine.FLOW, narrow=False), strict=True):
        given_stems[window] += np.array(stems, np.int32)
        one_by_one.give(window, np.array(stems, np.int32))
    last = [list(found) for window in windows if (found := one_by_one.most(window)) is not None]

    for engine in fitting(view):
        left = exact_count(view, engine).left(given_stems, windows)
        assert np.broadcast_to(left, (len(windows), 4)).tolist() == np.array(last, np.int32).reshape(-1, 4).tolist()


@given(st.integers(0, 10**6))
def test_a_match_is_the_same_whichever_engine_counts(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=4)
    filled = match(farm.lines, farm.supply, farm.keeping).filled_all()

    for engine in (Engine.UNIONS, Engine.FLOW):
        assert np.array_equal(filled, match(farm.lines, farm.supply, farm.keeping, engine=engine).filled_all())


def view_of(*rows: list[int]) -> PoolView:
    """A pool of one stem per lot, as windows see it."""
    masks: list[BoolArray] = [np.array(row, np.bool_) for row in rows]
    return pool_view(standing(dict.fromkeys(range(len(rows[0])), 1)), masks)


def test_windows_that_rise_at_both_ends_are_counted_the_quick_way() -> None:
    assert isinstance(exact_count(view_of([1, 1, 0], [0, 1, 1])), AgreeableCount)


def test_windows_inside_others_are_counted_in_layers() -> None:
    assert isinstance(exact_count(view_of([1, 1, 1, 0], [0, 1, 0, 0], [0, 0, 1, 1])), LayeredCount)


def test_windows_with_too_many_unions_are_counted_by_the_network() -> None:
    ring = [[int(lot in (window, (window + 1) % 13, 13 + window)) for lot in range(26)] for window in range(13)]
    stars = [[int(lot in (window, 16)) for lot in range(17)] for window in range(16)]

    assert isinstance(exact_count(view_of(*ring)), UnionCount)
    assert isinstance(exact_count(view_of(*stars)), FlowCount)


def test_unions_grow_only_through_windows_that_touch() -> None:
    found = closed_sets(np.array([[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 0, 1]], np.bool_))

    assert found is not None
    assert {"".join(map(str, row)) for row in found.astype(np.int32).tolist()} == {"1100", "0110", "1110", "0001"}


def test_a_window_inside_another_keeps_what_it_was_given_and_counts_what_is_left() -> None:
    # One stem in each of three lots; the outer window takes one of them, then the two side lots are given away.
    view = view_of([1, 1, 1], [0, 1, 0], [1, 0, 0], [0, 0, 1])
    count = exact_count(view)
    outer, inner, left, right = view.place
    one = np.array([1], np.int32)
    count.give(outer, one)
    count.give(left, one)

    assert (stems(count.most(inner)), stems(count.most(right)), stems(count.most(outer))) == ([1], [1], [1])
    count.give(right, one)
    assert (stems(count.most(inner)), stems(count.most(outer))) == ([0], [0])


def stems(found: IntArray | None) -> list[int]:
    """The numbers of a count that may bind."""
    assert found is not None
    return [int(item) for item in found]
