"""The match, line by line and pool by pool, against solvers of others and a second reading of the rules.

Judges: SciPy's maximum flow (Dinic) on every farm and HiGHS (a linear program, through SciPy) on every tenth; also
NetworkX's maximum flow where a whole farm is one problem.
"""

from __future__ import annotations

import random

import numpy as np
import pytest

from haulm.matching.allocation.match import match
from support import scale
from support.general_solvers import edges_of, given_stems, given_worth, highs_weighted, networkx_flow, scipy_flow
from support.match_judge import Fills, flow_judge, judged, program_judge
from support.random_farms import RandomFarm, random_farm
from support.synthetic_match import Size, instance

PARTS = 20


def matched(farm: RandomFarm) -> list[Fills]:
    """The match's own answer in the judge's form, season by season."""
    result = match(farm.lines, farm.supply, farm.keeping)
    fills: list[Fills] = [{} for _ in range(farm.supply.seasons)]
    for line, takes in zip(result.lines, result.takes, strict=True):
        for take in takes:
            pool = result.pool(take)
            for season, amount in enumerate(np.broadcast_to(take.stems, farm.supply.seasons).tolist()):
                if amount:
                    fills[season][line.line, str(pool.product), pool.length_cm] = amount
    return fills


@pytest.mark.parametrize("part", range(PARTS))
def test_every_line_gets_of_every_pool_what_other_solvers_give_it(part: int) -> None:
    farms = scale.count(usual=500, large=10_000) // PARTS
    for number in range(part * farms, (part + 1) * farms):
        farm = random_farm(random.Random(number))
        fills = matched(farm)
        for season in range(farm.supply.seasons):
            assert fills[season] == judged(farm, season, flow_judge), number
            if number % 10 == 0:
                assert fills[season] == judged(farm, season, program_judge), number


@pytest.mark.parametrize("number", range(scale.count(usual=3, large=100)))
def test_a_large_farm_is_served_as_other_solvers_serve_it(number: int) -> None:
    farm = random_farm(random.Random(f"large {number}"), seasons=1, least_lines=100, most_lines=200)
    fills = matched(farm)[0]

    assert fills == judged(farm, 0, flow_judge)
    if number % 10 == 0:
        assert fills == judged(farm, 0, program_judge)


@pytest.mark.parametrize("seed", range(scale.count(usual=3, large=40)))
def test_what_a_full_season_gives_is_worth_as_much_as_solvers_can_make_it(seed: int) -> None:
    """Without substitutes a linear program and a maximum flow of the whole farm bound the match; it reaches both."""
    size = Size(f"check {seed}", 10 + seed, 20 + seed, 400 + 20 * seed)
    made = instance(size, used=(0.5, 0.85, 1.2)[seed % 3])
    result = match(made.lines, made.supply, made.keeping)
    edges = edges_of(result)

    assert given_worth(result, edges) == highs_weighted(edges)
    assert given_stems(result) == scipy_flow(edges) == networkx_flow(edges)


def test_the_random_farms_hold_every_rule() -> None:
    farms = [random_farm(random.Random(number)) for number in range(200)]
    lines = [line for farm in farms for line in farm.lines]
    lots = [lot for farm in farms for pool in farm.supply.pools for lot in pool.lots]
    fills = [fill for farm in farms for season in matched(farm) for fill in season]

    assert any(line.choice and line.max_each for line in lines) and any(line.minimum for line in lines)
    assert any(line.max_age_days for line in lines) and any(line.stage for line in lines)
    assert any(lot.cut for lot in lots) and any(lot.usable_until for lot in lots)
    assert {length for _, _, length in fills} == {0, 30, 50}
    assert any(product.endswith(":dried") for _, product, _ in fills)
    assert len({(line, product) for line, product, _ in fills}) > len({line for line, _, _ in fills})
