"""Why a line is not surer: one cause in each season in which it is short, and shares of them that add up to 1."""

import random
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.reading.causes import MOST_DAYS, Cause, CauseShare, causes, shares
from haulm.matching.supply import Supply
from support.cause_judge import farm_with_causes, judged_cause
from support.scale import count
from support.small_match import line, rules, standing, supply

SEASONS = 3


def _shares(found: Supply, asked: int = 5, *, due: int = 9, **alive: Supply) -> tuple[CauseShare, ...]:
    """The causes of a line of ammi, the only one."""
    result = match([line("a", due, asked)], found, rules())
    return shares(causes(result, [0], {Cause(cause): pools for cause, pools in alive.items()}))


@settings(max_examples=count(60, 1500), deadline=None)
@given(seed=st.integers(0, 2**32))
def test_every_cause_is_the_one_that_is_found_by_trying_each(seed: int) -> None:
    farm, alive = farm_with_causes(random.Random(seed), seasons=SEASONS)
    result = match(farm.lines, farm.supply, farm.keeping)
    pools = {Cause(cause): found for cause, found in alive.items()}
    for place, short in enumerate(causes(result, range(len(result.lines)), pools)):
        for season in range(SEASONS):
            told = None if short.cause[season] < 0 else (tuple(Cause)[short.cause[season]], int(short.days[season]))
            assert told == judged_cause(farm, alive, result.lines[place], season, MOST_DAYS)


@settings(max_examples=count(60, 1500), deadline=None)
@given(seed=st.integers(0, 2**32))
def test_shares_add_up_to_one_and_a_line_that_is_always_filled_has_none(seed: int) -> None:
    farm, alive = farm_with_causes(random.Random(seed), seasons=SEASONS)
    result = match(farm.lines, farm.supply, farm.keeping)
    pools = {Cause(cause): found for cause, found in alive.items()}
    found = causes(result, range(len(result.lines)), pools)
    for place, short in enumerate(found):
        told = shares([short])
        if (result.filled(place) == result.lines[place].stems).all():
            assert told == ()
        else:
            assert sum(one.share for one in told) == pytest.approx(1, abs=1e-9)
            assert [one.cause for one in told] == sorted((one.cause for one in told), key=list(Cause).index)
    together = shares(found)
    assert not together or sum(one.share for one in together) == pytest.approx(1, abs=1e-9)


def test_every_cause_comes_up_in_small_farms() -> None:
    told: Counter[str] = Counter()
    for seed in range(120):
        farm, alive = farm_with_causes(random.Random(seed), seasons=SEASONS)
        result = match(farm.lines, farm.supply, farm.keeping)
        for short in causes(result, range(len(result.lines)), {Cause(cause): found for cause, found in alive.items()}):
            told.update(tuple(Cause)[place] for place in short.cause[short.cause >= 0])
    assert set(told) == set(Cause)


def test_nothing_is_sown_for_a_line_that_could_have_a_stem_in_no_season() -> None:
    # It is cut on day 7: what is ready on day 20 is another's, thirteen days late or not.
    (only,) = _shares(supply(standing({20: [8, 8]}), weights=(0.5, 0.5)))
    assert (only.cause, only.share) == (Cause.NOTHING_SOWN, 1.0)


def test_stems_that_come_too_late_in_a_season_say_by_how_many_days() -> None:
    found = supply(standing({7: [8, 0, 0], 10: [0, 8, 0], 12: [0, 0, 8]}), weights=(0.5, 0.3, 0.2))
    (late,) = _shares(found)
    assert (late.cause, late.share, late.days) == (Cause.LATE, 1.0, 3)


def test_stems_that_are_over_before_are_early() -> None:
    # It is cut on day 7, and stems stand for three days: those ready on day 0 are over by four.
    (early,) = _shares(supply(standing({0: [0, 8], 4: [8, 0]}), weights=(0.6, 0.4)))
    assert (early.cause, early.days) == (Cause.EARLY, 4)


def test_plants_that_are_gone_are_the_cause_where_the_line_is_filled_with_them_and_come_before_late() -> None:
    now = supply(standing({7: [8, 0], 10: [0, 8]}), weights=(0.5, 0.5))
    alive = supply(standing({7: [8, 5], 10: [0, 8]}), weights=(0.5, 0.5))
    assert [one.cause for one in _shares(now, frost=alive)] == [Cause.FROST]
    assert [one.cause for one in _shares(now, frost=alive, lost=alive)] == [Cause.LOST]


def test_plants_that_would_give_too_few_are_no_cause_where_others_give_some() -> None:
    now = supply(standing({7: [8, 1]}), weights=(0.5, 0.5))
    alive = supply(standing({7: [8, 3]}), weights=(0.5, 0.5))
    assert [one.cause for one in _shares(now, frost=alive)] == [Cause.FEW]


def test_what_earlier_lines_take_is_the_cause_where_the_line_alone_would_be_filled() -> None:
    asks = [line("bride", 9, 6, wanted=LineClass.WEDDING), line("a", 9, 5)]
    result = match(asks, supply(standing({7: [8, 3]}), weights=(0.75, 0.25)), rules())
    told = shares(causes(result, [1], {}))
    assert [(one.cause, one.share) for one in told] == [(Cause.FEW, 0.25), (Cause.TAKEN, 0.75)]


def test_several_lines_count_alike() -> None:
    asks = [line("a", 9, 5), line("b", 51, 5)]
    result = match(asks, supply(standing({7: [8, 3], 49: [9, 9]}), weights=(0.75, 0.25)), rules())
    told = causes(result, [0, 1], {})
    assert shares(told) == shares(told[:1]) == (CauseShare(Cause.FEW, 1.0),)
    assert np.array_equal(told[1].cause, [-1, -1])
