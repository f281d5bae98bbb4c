"""Typical seasons of products are seasons of the supply, by the week in which stems may first leave."""

from __future__ import annotations

import numpy as np

from haulm.farm.weeks import Week
from haulm.planning.ready_by_week import WEEKS_AHEAD, ready_by_week
from support.planned_farms import TODAY, growing_farm, planned


def test_each_is_one_season_of_the_supply_whole_and_week_by_week() -> None:
    plan = planned(growing_farm())
    weeks = [Week.of(TODAY).plus(number) for number in range(WEEKS_AHEAD)]
    assert [str(one.product) for one in plan.typical_products] == ["cosmos_white", "lagurus"]
    for one in plan.typical_products:
        drawn = ready_by_week(plan.result, one.product, weeks)
        for season in one.seasons:
            shown = np.array([dict(season.weeks).get(week, 0) for week in weeks])
            assert (drawn == shown[:, None]).all(axis=0).any(), season.name


def test_no_stem_is_counted_twice_or_left_out_in_the_weeks_ahead() -> None:
    plan = planned(growing_farm())
    weeks = [Week.of(TODAY).plus(number) for number in range(WEEKS_AHEAD)]
    for product, places in plan.result.supply.by_product.items():
        pools = [plan.result.supply.pools[place] for place in places]
        given = sum(block.stems.sum(axis=0, dtype=np.int64) for pool in pools for block in pool.blocks)
        assert (ready_by_week(plan.result, product, weeks).sum(axis=0) <= given).all()
        assert ready_by_week(plan.result, product, weeks).sum() > 0
