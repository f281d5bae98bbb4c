"""The pass that serves all lines at once gives what serving them one by one gives, compiled or not."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.matching import other_lines, pass_arrays
from haulm.matching.at_once import Earlier, served_at_once
from haulm.matching.match import match, rematch
from haulm.matching.result import Take
from haulm.matching.serve import served
from haulm.matching.supply import Keeping, Supply
from haulm.matching.wishes import strict_order, wishes_of
from support.random_farms import random_farm
from support.small_match import line, rules, standing, supply

SEEDS = st.integers(0, 10**6)
NO_FRESH_PATCH = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
SEASONS = 11
"""More than one block, of several lengths."""


@pytest.fixture
def few_lanes(monkeypatch: pytest.MonkeyPatch) -> None:
    """About four seasons at a time."""
    monkeypatch.setattr(pass_arrays, "_LANES", 4)


@pytest.fixture
def always_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every re-match serves all lines at once where it can, with a compiler or without."""
    monkeypatch.setattr(other_lines, "IS_COMPILED", True)
    monkeypatch.setattr(other_lines, "_ONE_BY_ONE", 10**6)


def both(lines: tuple[DatedLine, ...], pools: Supply, keeping: Keeping) -> tuple[object, object] | None:
    """What lines take, served at once and one by one; None where the pools have no tables."""
    ordered = strict_order(lines)
    wishes = wishes_of(ordered, pools, keeping)
    found = served_at_once(ordered, wishes)
    if found is None:
        return None
    return told(found, pools.seasons), told(served(ordered, wishes), pools.seasons)


def told(takes: tuple[tuple[Take, ...], ...], seasons: int) -> list[dict[int, list[int]]]:
    """Stems of each line by pool, season by season."""
    return [{take.pool: np.broadcast_to(take.stems, seasons).tolist() for take in each} for each in takes]


def test_most_random_farms_can_be_served_at_once() -> None:
    farms = [random_farm(random.Random(seed), seasons=2) for seed in range(40)]
    found = [both(farm.lines, farm.supply, farm.keeping) for farm in farms]

    assert sum(pair is not None for pair in found) > 20


@NO_FRESH_PATCH
@given(SEEDS)
def test_at_once_is_as_one_by_one(few_lanes: None, seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=SEASONS)
    found = both(farm.lines, farm.supply, farm.keeping)

    if found is not None:
        assert found[0] == found[1]


@NO_FRESH_PATCH
@given(SEEDS)
def test_lines_that_take_as_before_have_the_very_same_takes(few_lanes: None, seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=SEASONS)
    before = match(farm.lines, farm.supply, farm.keeping)
    gone = dice.randrange(len(before.lines))
    lines = (*before.lines[:gone], *before.lines[gone + 1 :])
    places = [place for place in range(len(before.lines)) if place != gone]
    wishes = before.wishes.with_lines(lines)
    found = served_at_once(lines, wishes, Earlier(before, places, (gone,)))
    if found is None:
        return

    assert told(found, SEASONS) == told(served(lines, wishes), SEASONS)
    for place, takes in zip(places, found, strict=True):
        then = before.takes[place]
        is_same = [take.pool for take in takes] == [take.pool for take in then]
        assert (takes is then) == (is_same and told((takes,), SEASONS) == told((then,), SEASONS))


@NO_FRESH_PATCH
@given(SEEDS)
def test_a_rematch_at_once_is_the_match_of_all_lines(few_lanes: None, always_at_once: None, seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    before = match(farm.lines, farm.supply, farm.keeping)
    lines = [replace(item, stems=item.stems + 2) if dice.random() < 0.3 else item for item in farm.lines]
    kept = [pool for pool in farm.supply.pools if dice.random() < 0.8]
    pools = farm.supply if dice.random() < 0.5 else replace(farm.supply, pools=tuple(dice.sample(kept, len(kept))))
    found = rematch(before, lines, pools)
    whole = match(lines, pools, farm.keeping)

    assert found.lines == whole.lines
    assert told(found.takes, 3) == told(whole.takes, 3)


def test_more_stems_than_two_bytes_hold_are_counted_too() -> None:
    pools = supply(standing({7: [40_000, 70_000]}), weights=(0.5, 0.5))
    asks = (line("a", 9, 33_000), line("b", 9, 34_000))

    assert both(asks, pools, rules()) == ([{0: [33_000, 33_000]}, {0: [7_000, 34_000]}],) * 2


def test_a_line_that_wants_more_than_two_bytes_hold_may_find_few() -> None:
    assert both((line("a", 9, 66_000),), supply(standing({7: 10})), rules()) == ([{0: [10]}],) * 2


def test_no_line_takes_nothing() -> None:
    assert both((), supply(standing({7: 10})), rules()) == ([], [])
