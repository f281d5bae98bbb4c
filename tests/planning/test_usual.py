"""Usual sales: nothing that is promised rests on them; what they would get, and what beds bring."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.farm.products import Choice, Product
from haulm.farm.snapshot import Farm
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.farm.words import UsualSource
from haulm.planning.bed_money import usual_figures
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.usual import money_by_week
from support.farm_strategies import KEYS
from support.planned_farms import DRAWING, TODAY, growing_farm, planned
from support.scale import count
from support.usual_sale_strategies import usual_sales

TAILS, COSMOS = Product("lagurus"), Product("cosmos_white")
ANY_PRODUCT = st.sampled_from((TAILS, COSMOS))
ANY_CHOICE = st.sampled_from((Choice.parse("form=fresh"), Choice.parse("role=filler")))


def sale(key: str, stems: int, first: str, last: str, **more: Any) -> UsualSale:
    """A usual sale of white cosmos by somebody, unless the test says otherwise."""
    facts = {"source": UsualSource.FLORIST, "product": COSMOS, "stem_price_minor": 50, **more}
    return UsualSale(key=key, stems=stems, first_week=Week.parse(first), last_week=Week.parse(last), **facts)


def promised_figures(plan: Plan) -> tuple[object, ...]:
    """Everything that is said of promises, and of what is free or left over."""
    lines = [line for line in plan.result.lines if not line.is_spare]
    return (
        plan.outlooks,
        plan.moment,
        plan.gaps(None),
        plan.gaps(0.9),
        plan.deliveries(None),
        plan.left_by_week,
        [plan.free_for_lines(lines, level) for level in (0.5, 0.8)],
        plan.result.filled_all().tolist(),
        plan.expected.sources,
    )


BEFORE = promised_figures(planned(growing_farm()))


@settings(max_examples=count(8, 200), deadline=None)
@given(usual_sales(ANY_PRODUCT, ANY_CHOICE, KEYS, ("anna", "ben")))
def test_every_promised_figure_is_the_same_with_and_without_usual_sales(rows: tuple[UsualSale, ...]) -> None:
    plan = planned(replace(growing_farm(), usual_sales=rows))
    usual_figures(plan)

    assert promised_figures(plan) == BEFORE


@settings(max_examples=count(10, 200), deadline=None)
@given(usual_sales(ANY_PRODUCT, ANY_CHOICE, KEYS))
def test_no_stem_is_sold_twice_and_no_batch_sells_more_than_it_gives(rows: tuple[UsualSale, ...]) -> None:
    plan = planned(replace(growing_farm(), usual_sales=rows))
    found = usual_figures(plan)
    given_stems = sum(
        float(block.stems.sum(axis=0) @ plan.result.supply.weights)
        for pool in plan.result.supply.pools
        for block in pool.blocks
    )
    promised = sum(
        float(plan.result.filled(place) @ plan.result.supply.weights) for place in range(len(plan.result.lines))
    )
    hoped = sum(week.stems for one in found.sales for week in one.weeks)

    assert promised + hoped <= given_stems + 1e-6
    assert all(bed.sold <= bed.stems + 1e-6 for bed in found.beds)
    assert all(0 <= week.stems <= week.asked and 0 <= week.full <= 1 for one in found.sales for week in one.weeks)


def test_a_version_that_changes_usual_sales_alone_keeps_the_match_and_the_options_as_they_are() -> None:
    planner, base = Planner(DRAWING), replace(growing_farm(), version=1)
    before = planner.plan(base, TODAY)
    after = planner.plan(replace(base, usual_sales=(sale("u", 5, "2027-W30", "2027-W31"),), version=2), TODAY)

    assert after.result is before.result and after.remembered_options is before.remembered_options
    assert usual_figures(before).sales == () and len(usual_figures(after).sales) == 1


def test_a_sale_says_its_stems_how_often_a_week_is_full_and_the_money_hoped_for() -> None:
    few, many = sale("few", 1, "2027-W30", "2027-W32"), sale("many", 100_000, "2027-W31", "2027-W31")
    found = usual_figures(planned(replace(growing_farm(), usual_sales=(few, many))))
    one, other = found.sales

    assert [week.due.isoweekday() for week in one.weeks] == [1, 1, 1]
    assert other.full == 0 and 0 < other.stems < 100_000
    assert one.minor == pytest.approx(50 * 3 * one.stems)
    assert sum(minor for _, minor in money_by_week(found.hoped)) == pytest.approx(one.minor + other.minor)


def test_weeks_that_are_over_or_beyond_the_forecast_are_hoped_for_by_nobody() -> None:
    past, far = sale("past", 5, "2026-W30", "2026-W31"), sale("far", 5, "2029-W30", "2029-W31")

    assert [one.weeks for one in usual_figures(planned(replace(growing_farm(), usual_sales=(past, far)))).sales] == [
        (),
        (),
    ]


def test_a_choice_gets_at_most_half_of_one_product() -> None:
    any_fresh = sale("any", 10, "2027-W31", "2027-W31", product=None, choice=Choice.parse("form=fresh"))
    plan = planned(replace(growing_farm(), usual_sales=(any_fresh,)))
    (takes,) = usual_figures(plan).hoped.takes

    for product in (TAILS, COSMOS):
        got = sum(
            np.broadcast_to(take.stems, DRAWING.seasons) for take in takes if plan.result.pool(take).product == product
        )
        assert np.max(got) <= 5


def money_of(farm: Farm) -> dict[str, float]:
    """What each batch brings from usual sales."""
    return {bed.batch.key: bed.hoped_minor for bed in usual_figures(planned(farm)).beds}


def test_beds_bring_what_promises_and_usual_sales_pay_less_what_is_still_to_be_spent() -> None:
    rows = (sale("u", 20, "2027-W31", "2027-W33", stem_price_minor=100),)
    found = usual_figures(planned(replace(growing_farm(), usual_sales=rows)))
    beds = {bed.batch.key: bed for bed in found.beds}

    assert beds["c1"].hoped_minor == pytest.approx(found.sales[0].minor, rel=0.1)
    assert beds["b1"].hoped_minor == beds["b2"].hoped_minor == 0
    assert beds["c1"].minor == pytest.approx(beds["c1"].promised_minor + beds["c1"].hoped_minor - beds["c1"].cost_minor)
    assert beds["b2"].per_metre == pytest.approx(beds["b2"].minor / 8.0)
    assert money_of(growing_farm())["c1"] == 0


def test_beds_are_ranked_by_money_for_a_metre_and_week() -> None:
    ranked = [bed.per_metre_week for bed in usual_figures(planned(growing_farm())).beds]

    assert len(ranked) == 3 and ranked == sorted(ranked, reverse=True)
