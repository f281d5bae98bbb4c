"""What is free to promise, and how sure a line is, never contradict each other: as many as are free are sure enough."""

import random
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from haulm.advice.floors import Floors
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.quantities import reaches
from haulm.farm.words import Form, LineClass, OrderKind, OrderStatus
from haulm.matching.allocation.match import match
from haulm.matching.reading.confidence import confidence
from haulm.matching.reading.free_to_promise import free_table, free_to_promise
from haulm.planning.may_promise import LineAsked, judge_of
from haulm.planning.planner import Planner
from support.demo_farms import DEMO_DRAWING, demo_plan
from support.planned_farms import TODAY
from support.random_farms import TODAY as MONDAY
from support.random_farms import random_farm
from support.scale import count
from support.small_match import line

LEVEL = 0.65
SEASONS = 4


@settings(max_examples=count(200, 2000), deadline=None)
@given(seed=st.integers(0, 2**32), due=st.integers(0, 15), level=st.sampled_from((0.25, 0.5, 0.75, 1.0)))
def test_a_plain_line_of_any_class_that_asks_what_is_free_is_as_sure_as_that(seed: int, due: int, level: float) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=SEASONS)
    # A choice takes its products by what their own lines ask: another line may turn it to the product that was free.
    lines = [one for one in farm.lines if one.choice is None]
    product = dice.choice(sorted(farm.keeping.products))
    free = free_to_promise(match(lines, farm.supply, farm.keeping), product, MONDAY + timedelta(due), level)
    assume(free > 0)
    asked = line("new", due, free, product=product, wanted=dice.choice(list(LineClass)), order="new")
    after = match([*lines, asked], farm.supply, farm.keeping)

    assert reaches(confidence(after, after.places[asked]), level)


def _table() -> list[tuple[Product, date, int]]:
    """Products of the demo, the day of their best weeks, and what is free then."""
    plan = demo_plan()
    products = [product for product in plan.result.supply.by_product if product.form is Form.FRESH]
    dues = [TODAY + timedelta(days=18 + 7 * week) for week in range(28)]
    free = free_table(plan.result, products, dues, LEVEL)
    return [
        (product, dues[at], int(row[at]))
        for product, row in zip(products, free, strict=True)
        for at in sorted(range(len(dues)), key=lambda at: -row[at])[:2]
        if row[at]
    ]


def test_everything_that_is_free_on_the_demo_is_sure_enough_if_it_is_asked() -> None:
    plan, planner, found = demo_plan(), Planner(DEMO_DRAWING), _table()

    assert len(found) > 30
    for product, due, stems in found:
        order = Order("asked", plan.farm.customers[0].key, OrderKind.ONE_OFF, due, committed_on=TODAY)
        order = replace(order, status=OrderStatus.CONTRACTED)
        asked = LineAsked(order, OrderLine("asked-1", "asked", 1, product=product), LEVEL, 10_000)
        told = judge_of(planner, plan, asked, Floors())(stems)
        assert told.is_sure, f"{stems} {product} are free for {due}, and {told.joint} sure"
