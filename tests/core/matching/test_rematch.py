"""A match of what changed equals a match of everything."""

import random
from dataclasses import replace
from datetime import timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.words import LineClass, Role
from haulm.matching.allocation.match import match, rematch, rematch_cutting
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Engine
from haulm.matching.supply import Block, Pool, Supply
from support.random_farms import random_farm
from support.small_match import AMMI, kept, line, rules, standing, supply

SEEDS = st.integers(0, 10**6)


def same(one: MatchResult, other: MatchResult) -> bool:
    """Whether two matches give every line the same of every pool, in the same order."""
    return table(one) == table(other) and one.lines == other.lines


def table(result: MatchResult) -> list[list[tuple[Product, int, list[int]]]]:
    """What every line takes of every pool in every season, in its order."""
    seasons = result.supply.seasons
    return [
        [
            (result.pool(take).product, result.pool(take).length_cm, np.broadcast_to(take.stems, seasons).tolist())
            for take in takes
        ]
        for takes in result.takes
    ]


def changed_lines(lines: tuple[DatedLine, ...], dice: random.Random) -> list[DatedLine]:
    """A few lines taken away, made larger or added."""
    kept_lines = [item for item in lines if dice.random() < 0.8]
    larger = [replace(item, stems=item.stems + 2) if dice.random() < 0.2 else item for item in kept_lines]
    return [*larger, replace(dice.choice(lines), line="new", substitutes=())]


def changed_pools(pools: tuple[Pool, ...], dice: random.Random) -> tuple[Pool, ...]:
    """A few pools taken away or given other stems, all in another order."""
    found = []
    for pool in pools:
        if dice.random() < 0.2:
            pool = replace(pool, blocks=tuple(Block(b.lots, b.stems + 1) for b in pool.blocks))
        if dice.random() < 0.9:
            found.append(pool)
    return tuple(dice.sample(found, len(found)))


@given(SEEDS)
def test_after_cuts_on_other_days_it_is_the_match_under_those_rules(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    dues = [item.due for item in farm.lines]
    found = match(farm.lines, farm.supply, farm.keeping)
    for _ in range(2):
        days = (max(farm.keeping.today, due - timedelta(days=dice.randrange(4))) for due in dice.sample(dues, 2))
        other = replace(farm.keeping, extra_cut_days=frozenset(days))
        found = rematch_cutting(found, other)

        assert found.keeping == other
        assert same(found, match(farm.lines, farm.supply, other))


@given(SEEDS)
def test_after_changed_lines_it_is_the_match_of_all_lines(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    asks = changed_lines(farm.lines, dice)
    before = match(farm.lines, farm.supply, farm.keeping)

    assert same(rematch(before, asks, farm.supply), match(asks, farm.supply, farm.keeping))


@given(SEEDS)
def test_counted_by_flow_it_is_the_same_match_of_all_lines(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    asks = changed_lines(farm.lines, dice)
    before = match(farm.lines, farm.supply, farm.keeping, engine=Engine.FLOW)

    assert same(rematch(before, asks, farm.supply), match(asks, farm.supply, farm.keeping))


@given(SEEDS)
def test_after_changed_pools_and_lines_it_is_the_match_of_all(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=3)
    asks = changed_lines(farm.lines, dice)
    now = Supply(changed_pools(farm.supply.pools, dice), 3, farm.supply.weights)
    before = match(farm.lines, farm.supply, farm.keeping)

    assert same(rematch(before, asks, now), match(asks, now, farm.keeping))


@given(SEEDS)
def test_after_new_weights_it_is_the_match_of_all(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=3)
    now = replace(farm.supply, weights=farm.supply.weights[::-1])
    before = match(farm.lines, farm.supply, farm.keeping)

    assert same(rematch(before, farm.lines, now), match(farm.lines, now, farm.keeping))


def test_only_lines_after_a_change_that_share_a_product_with_it_are_served_anew() -> None:
    dill = Product("dill")
    pools = supply(standing({7: [5, 3]}), standing({7: [5, 3]}, dill), weights=(0.5, 0.5))
    asks = [line("a", 9, 4), line("b", 9, 4, product=dill)]
    before = match(asks, pools, rules({AMMI: kept(), dill: kept()}))
    after = rematch(before, [*asks, line("b0", 8, 1, product=dill)], pools)
    old, new = ({ask.line: found.takes[place] for place, ask in enumerate(found.lines)} for found in (before, after))

    assert new["a"][0].stems is old["a"][0].stems
    assert (old["b"][0].stems.tolist(), new["b"][0].stems.tolist()) == ([4, 3], [4, 2])
    assert new["b0"][0].stems.tolist() == [1]


def test_a_change_reaches_on_through_lines_that_take_a_substitute() -> None:
    # The new line takes the ammi, so b falls back on dill, so c finds none.
    dill = Product("dill")
    pools = supply(standing({7: 5}), standing({7: 5}, dill))
    asks = [line("b", 8, 5, substitutes=(dill,)), line("c", 9, 5, product=dill)]
    before = match(asks, pools, rules({AMMI: kept(), dill: kept()}))
    after = rematch(before, [*asks, line("a", 8, 5)], pools)

    assert before.filled_all().tolist() == [[5], [5]]
    assert [(ask.line, *after.filled(place)) for place, ask in enumerate(after.lines)] == [("a", 5), ("b", 5), ("c", 0)]


def test_a_change_reaches_back_to_an_earlier_choice_whose_order_it_turns() -> None:
    dill = Product("dill")
    pools = supply(standing({7: 9}), standing({7: 8}, dill))
    ask = line("bride", 8, 2, wanted=LineClass.WEDDING, product=None, choice=Choice(roles=(Role.FILLER,)), max_each=2)
    before = match([ask], pools, rules({AMMI: kept(), dill: kept()}))
    after = rematch(before, [ask, line("x", 9, 4)], pools)

    assert [before.pool(take).product for take in before.takes[0]] == [AMMI]
    assert [after.pool(take).product for take in after.takes[0]] == [dill]
