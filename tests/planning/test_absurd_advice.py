"""Advice that no grower would follow, as it once was given: none of it is given any more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.options.last_resorts import purchases
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.costs import CostRules
from haulm.farm.words import Method
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies, situation_of
from haulm.planning.why_open import why_open
from support.demo_farms import demo_plan
from support.farms import batch, order, order_line, variety
from support.planned_farms import DRAWING, TODAY, growing_farm, growing_site

LEVEL = 0.8


@pytest.fixture(scope="module")
def options() -> list[tuple[Gap, Option]]:
    """Every option of every gap of the demo farm in mid March."""
    plan = demo_plan()
    return [(gap, option) for gap in plan.gaps(LEVEL) for option in remedies(plan, gap)]


def of_plugs(options: list[tuple[Gap, Option]]) -> Iterator[tuple[Option, str, date]]:
    for _, option in options:
        for one in option.batches:
            if one.method is Method.PLUGS:
                assert one.plant_out_date is not None
                yield option, one.variety, one.plant_out_date


def test_no_option_costs_more_than_the_promises_it_keeps_but_as_the_last_and_only_way(
    options: list[tuple[Gap, Option]],
) -> None:
    for gap in {gap for gap, _ in options}:
        own = [option for of, option in options if of == gap]
        assert all(option.is_in_proportion for option in own[:-1])
        assert own[-1].is_in_proportion or (own[-1].closes and not any(option.closes for option in own[:-1]))


def test_a_sowing_that_leaves_many_times_what_is_missing_says_so_and_is_cheap(
    options: list[tuple[Gap, Option]],
) -> None:
    for gap, option in options:
        worth = option.worth
        if option.batches and worth is not None and worth.surplus_stems > 12 * gap.expected_missing:
            assert f"about {worth.surplus_stems} stems more than are short" in option.sentence
            assert option.is_least or worth.net_minor <= worth.gained_minor or not option.is_in_proportion


def test_plugs_are_of_kinds_that_are_sold_so_and_are_never_planted_the_day_they_are_thought_of(
    options: list[tuple[Gap, Option]],
) -> None:
    hardly_sold = {"bupleurum", "cornflower_blue", "daucus_carota", "sunflower_single", "lagurus"}
    for option, kind, day in of_plugs(options):
        assert kind not in hardly_sold
        assert day >= TODAY + timedelta(weeks=6)
        assert option.order_by is not None and option.cost_minor


def test_nothing_is_sown_ordered_or_said_on_a_sunday(options: list[tuple[Gap, Option]]) -> None:
    for _, option in options:
        assert option.act_by.isoweekday() != 7 and option.decide_by.isoweekday() != 7


def test_nothing_is_bought_in_before_it_has_to_be(options: list[tuple[Gap, Option]]) -> None:
    plan = demo_plan()
    for gap in {gap for gap, _ in options}:
        found = purchases(situation_of(plan, gap), condition_days=1, hold_days=4)
        weeks = len(gap.weeks)
        assert sum(one.stems for one in found) <= gap.expected_missing + len(found)
        assert weeks < 3 or len(found) >= weeks / 2
        assert all(one.until - one.by <= timedelta(days=5) for one in found)


def test_the_largest_gap_is_told_in_spring_while_a_tray_of_seed_closes_it(options: list[tuple[Gap, Option]]) -> None:
    largest = max({gap for gap, _ in options if gap.asked == "lagurus"}, key=lambda gap: gap.expected_missing)
    best = next(option for gap, option in options if gap == largest)
    assert best.closes and best.kind == "succession" and best.cost_minor is not None and best.cost_minor <= 500
    assert TODAY < best.act_by < date(2027, 6, 1)


class TestTubers:
    """A wedding in September wants dahlias; the last frost of a late year is on 14 May, of a middle one on 28 April."""

    @pytest.fixture
    def plan(self) -> Plan:
        september = order("september", due="2027-09-09", customer="ben")
        lines = (order_line("september-1", order="september", product="dahlia_white", stems=60),)
        few = batch("d1", variety="dahlia_white", sow="2027-05-17", method=Method.TUBER, plants=3, bed="south")
        farm = growing_farm(varieties=(variety(), variety("dahlia_white", hold_days=3)), orders=(september,))
        own_stock = growing_site(costs=CostRules(tuber_minor=20))
        return Planner(DRAWING).plan(
            replace(farm, site=own_stock, order_lines=lines, batches=(few,), standing_lines=(), standing_orders=()),
            TODAY,
        )

    def test_they_are_planted_from_the_last_frost_of_a_middle_year_with_the_risk_said(self, plan: Plan) -> None:
        (gap,) = plan.gaps(LEVEL)
        best = remedies(plan, gap)[0]
        (planted,) = best.batches
        assert best.closes and planted.method is Method.TUBER
        assert planted.sow_date is not None and planted.sow_date >= date(2027, 4, 28)
        assert why_open(plan, gap) is None
        assert ("late year" in best.sentence) is (planted.sow_date < date(2027, 5, 14))
