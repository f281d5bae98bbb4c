"""The planner: one plan per version and day, and trials that equal fresh plans."""

from __future__ import annotations

import gc
from dataclasses import replace
from datetime import date, timedelta
from weakref import ref

import pytest

from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Change, Price
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import Method
from haulm.planning.planner import Planner
from haulm.planning.settled import Settled
from support.farms import batch, known_stems, order, order_line, standing_line, variety
from support.planned_farms import DRAWING, TODAY, fills, growing_farm, planned

WEDDING = (order("may", due="2027-08-05", customer="ben"), order_line("may-1", order="may", stems=50, spare=5))
CHANGES: dict[str, tuple[Row, ...]] = {
    "an added wedding": WEDDING,
    "an added choice": (WEDDING[0], order_line("may-1", order="may", product="lagurus", stems=200, minimum=120)),
    "an added batch": (batch("b3", sow="2027-05-10", plants=80, bed="south", metres=6.0),),
    "two added batches of one kind": (batch("b3", sow="2027-05-10"), batch("b4", sow="2027-05-17")),
    "bought plants": (
        batch("p1", variety="cosmos_white", method=Method.PLUGS, sow_date=None, plant_out_date=date(2027, 5, 20)),
    ),
    "a larger standing order": (standing_line(stems=70),),
    "a changed week": (Change("ch1", "weekly", Week.parse("2027-W30"), 5),),
    "an order far beyond the year": (
        order("far", due="2028-08-31"),
        order_line("far-1", order="far", stems=20, product="cosmos_white"),
        batch("f1", variety="cosmos_white", sow="2028-05-01", method=Method.DIRECT),
    ),
    "counted stems": (known_stems(ready="2027-07-05", stems=60),),
    "another kind's weeks": (variety("cosmos_white", hold_days=5, weeks_to_flower=12.0),),
}


class TestCache:
    def test_a_version_and_day_is_planned_once(self) -> None:
        planner = Planner(DRAWING)
        first = planner.plan(growing_farm(), TODAY)
        assert planner.plan(growing_farm(), TODAY) is first
        assert planner.plan(growing_farm(), TODAY + timedelta(days=1)) is not first
        assert planner.plan(growing_farm(version=1), TODAY) is not first

    def test_the_plan_of_the_version_before_is_forgotten(self) -> None:
        planner = Planner(DRAWING)
        first = ref(planner.plan(growing_farm(), TODAY))
        more = with_rows(growing_farm(version=1), [replace(growing_farm().orders[0], key="another")])
        second = planner.plan(more, TODAY)
        second.gaps(None)
        gc.collect()
        assert first() is None
        assert planner.plan(more, TODAY) is second

    def test_a_trial_in_which_something_grows_otherwise_is_not_kept(self) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        tried = ref(planner.trial(plan, plan.farm, frost_days_earlier=7))
        gc.collect()
        assert tried() is None

    def test_a_version_in_which_nothing_changed_keeps_what_was_worked_out(self) -> None:
        planner = Planner(DRAWING)
        first = planner.plan(growing_farm(), TODAY)
        second = planner.plan(growing_farm(version=1), TODAY)
        assert second.remembered_options is first.remembered_options
        assert fills(second) == fills(first) and second.farm.version == 1

    def test_a_version_in_which_prices_changed_keeps_nothing(self) -> None:
        planner, before = Planner(DRAWING), growing_farm()
        first = planner.plan(before, TODAY)
        dearer = replace(before, prices=(Price(Product("lagurus"), price_minor=900),), version=1)
        assert planner.plan(dearer, TODAY).remembered_options is not first.remembered_options

    def test_what_is_settled_is_asked_only_for_a_plan_that_is_not_known(self) -> None:
        asked: list[int] = []
        planner = Planner(DRAWING)
        for _ in range(2):
            planner.plan(growing_farm(), TODAY, lambda: asked.append(1) or Settled())  # type: ignore[func-returns-value]
        assert asked == [1]

    @pytest.mark.parametrize("change", CHANGES)
    def test_a_later_version_equals_one_planned_from_nothing(self, change: str) -> None:
        planner = Planner(DRAWING)
        planner.plan(growing_farm(), TODAY)
        later = replace(with_rows(growing_farm(), CHANGES[change]), version=1)
        assert fills(planner.plan(later, TODAY)) == fills(planned(later))


class TestTrial:
    @pytest.mark.parametrize("change", CHANGES)
    def test_a_trial_equals_a_fresh_plan_of_the_changed_farm(self, change: str) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        changed = with_rows(growing_farm(), CHANGES[change])
        trial, fresh = planner.trial(plan, changed), planned(changed)
        assert fills(trial) == fills(fresh)
        assert trial.outlooks == fresh.outlooks

    def test_a_trial_is_not_kept(self) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        planner.trial(plan, with_rows(growing_farm(), WEDDING))
        assert planner.plan(growing_farm(), TODAY) is plan

    def test_a_withdrawn_batch_takes_its_stems_with_it(self) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        fewer = replace(growing_farm(), batches=growing_farm().batches[:1])
        assert fills(planner.trial(plan, fewer)) == fills(planned(fewer))


def test_many_changes_one_after_another_leave_no_trace_of_the_way() -> None:
    planner = Planner(DRAWING)
    farm = growing_farm()
    for version, change in enumerate(CHANGES, start=1):
        farm = _edited(farm, CHANGES[change], version)
        plan = planner.plan(farm, TODAY)
    assert fills(plan) == fills(planned(farm))
    assert Product("lagurus") in plan.result.supply.by_product


def _edited(farm: Farm, rows: tuple[Row, ...], version: int) -> Farm:
    return replace(with_rows(farm, rows), version=version)


@pytest.mark.parametrize("name", CHANGES)
def test_what_was_tried_and_then_written_is_planned_as_if_nothing_had_been_tried(name: str) -> None:
    """Asked of orders and of what grows alike: only the former may take the trial's match for their own."""
    planner, before = Planner(DRAWING), growing_farm()
    trial = planner.trial(planner.plan(before, TODAY), with_rows(before, CHANGES[name]))
    written = replace(with_rows(before, CHANGES[name]), version=1)

    plan = planner.plan(written, TODAY)

    fresh = planned(written)
    assert fills(plan) == fills(fresh)
    assert [look.confidence for look in plan.outlooks] == [look.confidence for look in fresh.outlooks]
    asks = all(not hasattr(row, "variety") and not hasattr(row, "weeks_to_flower") for row in CHANGES[name])
    assert (plan.result is trial.result) == (asks and name != "counted stems")


def test_a_trial_is_not_taken_for_a_farm_that_asks_something_else() -> None:
    planner, before = Planner(DRAWING), growing_farm()
    planner.trial(planner.plan(before, TODAY), with_rows(before, WEDDING))
    other = replace(with_rows(before, CHANGES["a larger standing order"]), version=1)

    assert fills(planner.plan(other, TODAY)) == fills(planned(other))


def test_a_trial_is_not_taken_once_something_is_settled() -> None:
    planner, before = Planner(DRAWING), growing_farm()
    planner.trial(planner.plan(before, TODAY), with_rows(before, WEDDING))
    written = replace(with_rows(before, WEDDING), version=1)
    settled = Settled(lines=frozenset({("summer-1", date(2027, 7, 29))}))

    plan = planner.plan(written, TODAY, lambda: settled)

    assert all(line.line != "summer-1" for line in plan.result.lines)
