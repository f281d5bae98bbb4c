"""Stems tried out on a match: the same numbers as a full match, for the lines watched."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from haulm.farm.products import Product
from haulm.matching.allocation.match import match
from haulm.matching.allocation.trial import PoolName, SupplyTrial
from haulm.matching.supply import Block, Lot, Pool, Supply
from support import scale
from support.random_farms import TODAY, RandomFarm, random_farm

SEASONS = 3


@pytest.mark.parametrize("seed", range(scale.count(usual=150, large=5000)))
def test_a_tryout_equals_a_full_match_of_the_larger_supply(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=SEASONS)
    before = match(farm.lines, farm.supply, farm.keeping)
    watched = sorted(dice.sample(range(len(farm.lines)), dice.randint(1, len(farm.lines))))
    tryout = SupplyTrial(before, watched)
    for _ in range(2):
        added = _added(dice, farm)
        after = match(farm.lines, _larger(farm.supply, added), farm.keeping)
        for line, filled in zip(watched, tryout.filled(added), strict=True):
            assert filled.tolist() == after.filled(line).tolist()


def test_a_tryout_with_nothing_added_changes_nothing() -> None:
    farm = random_farm(random.Random(7), seasons=SEASONS)
    before = match(farm.lines, farm.supply, farm.keeping)
    watched = range(len(farm.lines))
    found = SupplyTrial(before, watched).filled({})
    assert [stems.tolist() for stems in found] == before.filled_all().tolist()


def _added(dice: random.Random, farm: RandomFarm) -> dict[PoolName, tuple[Block, ...]]:
    """Stems for one or two products, now and then in a length that had no pool."""
    products = dice.sample(sorted(farm.keeping.products), min(len(farm.keeping.products), dice.randint(1, 2)))
    return {(product, dice.choice((0, 30, 50))): (_block(dice, product),) for product in products}


def _block(dice: random.Random, product: Product) -> Block:
    lots = tuple(Lot(TODAY + timedelta(days=dice.randint(0, 14)), key=f"{product}{n}") for n in range(3))
    stems = [[dice.choice((0, 1, 3, 6)) for _ in range(SEASONS)] for _ in lots]
    return Block(lots, np.array(stems, np.int32))


def _larger(supply: Supply, added: dict[PoolName, tuple[Block, ...]]) -> Supply:
    pools = {(pool.product, pool.length_cm): pool for pool in supply.pools}
    for (product, length_cm), blocks in added.items():
        pool = pools.get((product, length_cm), Pool(product, length_cm, ()))
        pools[product, length_cm] = Pool(product, length_cm, (*pool.blocks, *blocks))
    return replace(supply, pools=tuple(pools.values()))
