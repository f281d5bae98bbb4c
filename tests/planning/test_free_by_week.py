"""Weeks of a product that are kept from one version to the next are those that would be worked out anew."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.matching.reading.free_to_promise import free_table
from haulm.planning.free_by_week import FreeAsked, FreeWeeksKept, free_by_week
from haulm.planning.planner import Planner
from support.planned_farms import DRAWING, TODAY, growing_farm, planned

LAGURUS = Product("lagurus")
WEEKS = tuple(Week.of(TODAY).plus(number) for number in range(30))
ASKED = FreeAsked(WEEKS, (Weekday.MON, Weekday.THU), (0.8, 0.6))


def test_of_two_days_the_better_is_free_and_past_days_have_nothing() -> None:
    plan = planned(growing_farm())
    found = free_by_week(plan.result, LAGURUS, ASKED, FreeWeeksKept())
    for week, row in zip(WEEKS, found, strict=True):
        dues = [due for due in (week.day(Weekday.MON), week.day(Weekday.THU)) if due >= plan.today]
        best = max((int(free_table(plan.result, [LAGURUS], [due], 0.8)[0, 0]) for due in dues), default=0)
        assert (row.free, row.hope >= row.free) == (best, True)
        assert list(row.ready) == sorted(row.ready)
    assert any(row.free for row in found) and any(row.shared for row in found)


def test_a_product_that_is_not_grown_has_nothing() -> None:
    plan = planned(growing_farm())
    (row,) = {*free_by_week(plan.result, Product("dahlia"), ASKED, FreeWeeksKept())}
    assert (row.ready, row.free, row.hope, row.shared) == ((0, 0, 0), 0, 0, False)


@pytest.mark.parametrize("part", ["orders", "batches"])
def test_after_a_change_what_was_kept_is_what_would_be_worked_out(part: str) -> None:
    farm = growing_farm()
    planner = Planner(DRAWING)
    before = planner.plan(farm, TODAY)
    was = before.free_by_week(LAGURUS, ASKED)
    changed = replace(farm, **{part: getattr(farm, part)[1:]}, version=farm.version + 1)
    if part == "orders":
        gone = farm.orders[0].key
        changed = replace(changed, order_lines=tuple(one for one in farm.order_lines if one.order != gone))
    after = planner.plan(changed, TODAY)
    for product in after.result.supply.by_product:
        fresh = free_by_week(after.result, product, ASKED, FreeWeeksKept())
        assert after.free_by_week(product, ASKED) == fresh
    assert after.free_by_week(LAGURUS, ASKED) is was or after.free_by_week(LAGURUS, ASKED) != was
