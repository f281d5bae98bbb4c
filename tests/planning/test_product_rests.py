"""What the stems of a product rest on is equal as long as nothing of it has moved, and no longer."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from haulm.farm.products import Product
from haulm.planning.product_rests import grows_from, rests_on
from support.planned_farms import growing_farm, planned

LAGURUS, COSMOS = Product("lagurus"), Product("cosmos_white")


def test_another_order_moves_whom_stems_are_given_to_and_not_what_grows() -> None:
    plan = planned(growing_farm())
    fewer = replace(plan.farm, standing_orders=(), standing_lines=(), version=plan.farm.version + 1)
    other = planned(fewer)
    assert plan.lines_of(plan.farm.standing_orders[0].key), "there is a standing order to leave out"
    assert rests_on(plan.result, LAGURUS) == rests_on(plan.result, LAGURUS)
    assert rests_on(plan.result, LAGURUS).takers != rests_on(other.result, LAGURUS).takers


def test_another_day_and_another_product_are_something_else() -> None:
    plan = planned(growing_farm())
    later = replace(plan.result, keeping=replace(plan.result.keeping, today=plan.today + timedelta(days=1)))
    assert grows_from(plan.result, LAGURUS) != grows_from(later, LAGURUS)
    assert grows_from(plan.result, LAGURUS) != grows_from(plan.result, COSMOS)
    assert hash(rests_on(plan.result, COSMOS)) == hash(rests_on(plan.result, COSMOS))
