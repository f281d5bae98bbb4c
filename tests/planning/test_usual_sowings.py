"""Extra sowings for usual sales: they pay by a match with them, after every promise, or they are not told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulm.farm.costs import CostRules
from haulm.farm.products import Product
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.farm.words import UsualSource
from haulm.planning.planner import Planner
from haulm.planning.usual import hoped_for
from haulm.planning.usual_sowings import usual_sowings
from support.planned_farms import DRAWING, TODAY, growing_farm, growing_site, planned

MANY = UsualSale(
    "u",
    UsualSource.FLORIST,
    60,
    Week.parse("2027-W31"),
    Week.parse("2027-W36"),
    Product("cosmos_white"),
    stem_price_minor=80,
)


def test_a_sowing_brings_what_the_farm_with_it_may_hope_for() -> None:
    farm = replace(growing_farm(), usual_sales=(MANY,), version=1)
    planner = Planner(DRAWING)
    plan = planner.plan(farm, TODAY)
    (found,) = usual_sowings(plan)

    tried = planner.trial(plan, replace(farm, batches=(*farm.batches, found.batch), version=2))

    assert found.batch.variety == "cosmos_white" and found.batch.sow_date is not None
    assert found.batch.sow_date >= TODAY and found.batch.bed in ("north", "south")
    assert found.gained_minor == pytest.approx(hoped_for(tried).minor - hoped_for(plan).minor)
    assert found.gained_minor > found.spent_minor > 0 and found.per_metre_week > 0


def test_no_sowing_is_told_that_would_not_earn_its_bed() -> None:
    dear = growing_site(costs=CostRules(bed_metre_week_minor=1_000_000))

    assert usual_sowings(planned(replace(growing_farm(site=dear), usual_sales=(MANY,)))) == ()


def test_none_is_told_where_nothing_is_hoped_for_or_no_bed_has_room() -> None:
    assert usual_sowings(planned(growing_farm())) == ()
    full = tuple(replace(bed, metres=0.1) if bed.metres else bed for bed in growing_farm().beds)
    assert usual_sowings(planned(replace(growing_farm(beds=full), usual_sales=(MANY,)))) == ()


def test_a_sowing_for_usual_sales_is_no_option_of_a_gap() -> None:
    with_sales = planned(replace(growing_farm(), usual_sales=(MANY,)))
    usual_sowings(with_sales)

    assert with_sales.gaps(None) == planned(growing_farm()).gaps(None)
