"""The pass gives the same in blocks of seasons and in one, in two bytes and in four; what stays the same is kept."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.matching.allocation.match import match, rematch
from haulm.matching.allocation.result import MatchResult
from haulm.matching.one_pass import arrays as pass_arrays
from haulm.matching.one_pass.compiler import IS_COMPILED
from haulm.matching.one_pass.down_the_order import serve
from support.random_farms import random_farm
from support.small_match import line, rules, standing, supply

SEEDS = st.integers(0, 10**6)
NO_FRESH_PATCH = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
SEASONS = 11
"""More than one block of four, of several lengths."""


def told(result: MatchResult) -> list[list[tuple[int, list[int]]]]:
    """What each line takes, in its order: the pool and the stems season by season."""
    seasons = result.supply.seasons
    return [[(take.pool, np.broadcast_to(take.stems, seasons).tolist()) for take in takes] for takes in result.takes]


@NO_FRESH_PATCH
@given(SEEDS)
def test_in_blocks_of_seasons_it_is_as_in_one(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=SEASONS)
    lines = [replace(item, stems=item.stems + 2) if dice.random() < 0.3 else item for item in farm.lines]
    whole = match(lines, farm.supply, farm.keeping)
    monkeypatch.setattr(pass_arrays, "_LANES", 4)
    before = match(farm.lines, farm.supply, farm.keeping)

    assert told(match(lines, farm.supply, farm.keeping)) == told(whole)
    assert told(rematch(before, lines, farm.supply)) == told(whole)


@given(SEEDS)
def test_lines_that_take_as_before_have_the_very_same_takes(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    before = match(farm.lines, farm.supply, farm.keeping)
    gone = dice.randrange(len(before.lines))
    after = rematch(before, (*before.lines[:gone], *before.lines[gone + 1 :]), farm.supply)
    then, now = told(before), told(after)

    for place, takes in enumerate(after.takes):
        old = place + (place >= gone)
        assert (takes is before.takes[old]) == (now[place] == then[old])


def test_every_take_owns_its_stems() -> None:
    asks = [line("a", 5, 3), line("b", 5, 3), line("c", 5, 3)]
    pools = supply(standing({3: [5, 2]}), weights=(0.5, 0.5))
    before = match(asks, pools, rules())
    after = rematch(before, asks[1:], pools)
    found = [take for result in (before, after) for takes in result.takes for take in takes]

    assert told(after) == [[(0, [3, 2])], [(0, [2, 0])]]
    assert all(take.stems.base is None for take in found)


def test_few_stems_are_kept_in_two_bytes() -> None:
    found = match([line("a", 9, 4)], supply(standing({7: [5, 3]}), weights=(0.5, 0.5)), rules())

    assert [take.stems.dtype for takes in found.takes for take in takes] == [np.int16]


def test_more_stems_than_two_bytes_hold_are_counted_too() -> None:
    pools = supply(standing({7: [40_000, 70_000]}), weights=(0.5, 0.5))
    found = match([line("a", 9, 33_000), line("b", 9, 34_000)], pools, rules())

    assert told(found) == [[(0, [33_000, 33_000])], [(0, [7_000, 34_000])]]


def test_a_line_that_wants_more_than_two_bytes_hold_may_find_few() -> None:
    assert told(match([line("a", 9, 66_000)], supply(standing({7: 10})), rules())) == [[(0, [10])]]


def test_stems_of_many_lots_may_be_more_together_than_two_bytes_hold() -> None:
    pools = supply(standing({6: 20_000, 7: 20_000}))

    assert told(match([line("a", 9, 100), line("b", 9, 32_000)], pools, rules())) == [[(0, [100])], [(0, [32_000])]]


def test_what_was_taken_in_two_bytes_is_known_where_four_are_needed_now() -> None:
    pools = supply(standing({7: [1_000, 900]}), weights=(0.5, 0.5))
    asks = [line("a", 9, 600), line("b", 9, 500)]
    before = match(asks, pools, rules())
    after = rematch(before, [line("0", 8, 66_000), *asks], supply(standing({6: 66_000}), weights=(0.5, 0.5)))

    assert told(before) == [[(0, [600, 600])], [(0, [400, 300])]]
    assert told(after) == told(match(after.lines, after.supply, rules()))


def test_no_line_takes_nothing() -> None:
    assert match([], supply(standing({7: 10})), rules()).takes == ()


def test_a_line_that_accepts_no_lot_takes_nothing() -> None:
    assert match([line("a", 1, 5)], supply(standing({7: 10})), rules()).takes == ((),)


@pytest.mark.skipif(not IS_COMPILED, reason="the extra fast is not installed")
def test_the_pass_is_compiled_for_two_bytes_and_for_four_and_no_more() -> None:
    for stems in (10, 40_000):
        for pools in (supply(standing({7: 10})), supply(standing({7: [10, 20]}), weights=(0.5, 0.5))):
            before = match([line("a", 9, stems)], pools, rules())
            rematch(before, [line("b", 9, stems)], pools)

    assert len(getattr(serve, "signatures", ())) == 2
