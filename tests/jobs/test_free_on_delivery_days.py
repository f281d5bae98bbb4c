"""What is free on the days on which a farm delivers."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.jobs.promises.list_availability import AvailabilityAsked, list_availability
from support.demo_farms import demo_plan


def best_of_the_year(weekday: Weekday | None) -> dict[Product, int]:
    """The most of each of the demo's products that is free in any week of its season."""
    desk: Any = SimpleNamespace(plan=demo_plan)
    found: dict[Product, int] = {}
    for row in list_availability(desk, AvailabilityAsked(Week(2027, 18), 30, 0.65, weekday)):
        found[row.product] = max(found.get(row.product, 0), row.free_to_promise)
    return found


def test_on_the_days_on_which_the_demo_delivers_far_more_kinds_are_free_than_on_its_bucket_day() -> None:
    """Its stems are cut on Mondays and Thursdays, and few that are cut on Thursday keep until Monday."""
    nothing_free = {day: sum(most == 0 for most in best_of_the_year(day).values()) for day in (None, Weekday.MON)}
    assert nothing_free[None] <= nothing_free[Weekday.MON] / 3
