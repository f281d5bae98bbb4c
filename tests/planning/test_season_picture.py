"""The picture of the season is one figure with what may be promised, and adds inside seasons before it ranks."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.jobs.promises.list_availability import AvailabilityAsked, list_availability
from haulm.matching.reading.free_to_promise import sure_at
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.ready_by_week import WEEKS_AHEAD
from haulm.planning.season_picture import better_days, kind_stems, kind_weeks
from support.demo_farms import demo_plan
from support.planned_farms import DRAWING, TODAY, growing_farm, planned


def available(plan: Plan) -> dict[tuple[Product, Week], int]:
    """What the free list says of every fresh product and week ahead."""
    desk: Any = SimpleNamespace(plan=lambda: plan)
    asked = AvailabilityAsked(Week.of(plan.today), WEEKS_AHEAD, plan.farm.site.free_level)
    return {(row.product, row.week): row.free_to_promise for row in list_availability(desk, asked) if row.week}


def test_what_is_drawn_as_free_is_what_the_free_list_says() -> None:
    plan = demo_plan()
    drawn = {(kind, one.week): one.free for kind, row in plan.season_picture.kinds.items() for one in row}
    assert drawn == available(plan)
    assert any(drawn.values())


def test_kinds_are_added_inside_each_season_and_ranked_afterwards() -> None:
    plan = demo_plan()
    asked, picture = plan.season_asked, plan.season_picture
    for role, row in picture.roles.items():
        own = [kind for kind in picture.kinds if plan.crops[kind.variety].role is role]
        there = np.zeros((len(asked.weeks), plan.result.supply.seasons), np.int32)
        for kind in own:
            there += kind_stems(asked, kind, plan.of_products.picture).there
        ranked = sure_at(there, plan.result.supply.weights, (asked.level,))[0]
        assert [one.sure for one in row] == ranked.tolist()
        rows = [picture.kinds[kind] for kind in own]
        added = [sum(one.sure for one in week) for week in zip(*rows, strict=True)]
        if len(own) > 3:
            assert added != [one.sure for one in row], f"{role}: percentiles of kinds do not add up"


def test_a_colour_of_one_kind_is_that_kind_and_every_kind_has_its_colour() -> None:
    plan = demo_plan()
    for colour, row in plan.colour_weeks.items():
        own = [kind for kind in plan.season_picture.kinds if (plan.crops[kind.variety].colour or "") == colour]
        assert own
        alone = plan.season_picture.kinds[own[0]]
        if len(own) == 1:
            assert [one.sure for one in row] == [one.sure for one in alone]
        for place, one in enumerate(row):
            kinds = [plan.season_picture.kinds[kind][place] for kind in own]
            assert one.free <= one.sure <= one.half <= one.tenth
            assert one.sure >= max(kind.sure for kind in kinds)
    colours = {plan.crops[kind.variety].colour or "" for kind in plan.season_picture.kinds}
    assert set(plan.colour_weeks) == colours and len(colours) > 3


def test_doubt_is_in_order_and_what_is_sure_holds_what_is_free() -> None:
    for row in (*demo_plan().season_picture.kinds.values(), *demo_plan().season_picture.roles.values()):
        for one in row:
            assert one.free <= one.sure <= one.half <= one.tenth


def test_a_week_says_what_its_lines_ask_and_what_those_that_are_not_sure_lack() -> None:
    plan = planned(growing_farm())
    row = {one.week: one for one in plan.season_picture.kinds[Product("lagurus")]}
    standing = [line for line in plan.result.lines if line.product == Product("lagurus")]
    assert {week for week, one in row.items() if one.promised} == {Week.of(line.due) for line in standing}
    assert all(row[Week.of(line.due)].promised == line.stems for line in standing)
    gaps = [gap for gap in plan.gaps(None) if gap.asked == "lagurus"]
    missing = sum(gap.expected_missing for gap in gaps)
    assert missing > 0 and abs(sum(one.short for one in row.values()) - missing) < 1e-9


def test_spare_and_the_stall_are_no_promise() -> None:
    plan = planned(growing_farm())
    (due,) = {line.due for line in plan.result.lines if line.is_spare}
    row = {one.week: one for one in plan.season_picture.kinds[Product("cosmos_white")]}
    assert row[Week.of(due)].promised == 30


def test_a_kind_asked_alone_says_the_same_and_is_not_counted_again() -> None:
    plan = planned(growing_farm())
    known = plan.season_picture.kinds[Product("lagurus")]
    before = kind_stems(plan.season_asked, Product("lagurus"), plan.of_products.picture)
    assert kind_weeks(plan.season_asked, Product("lagurus"), plan.of_products.picture) == known
    assert kind_stems(plan.season_asked, Product("lagurus"), plan.of_products.picture) is before


def test_the_stems_of_a_kind_that_nothing_has_touched_stay_from_one_version_to_the_next() -> None:
    planner, farm = Planner(DRAWING), growing_farm()
    plan = planner.plan(farm, TODAY)
    assert plan.season_picture
    cosmos = kind_stems(plan.season_asked, Product("cosmos_white"), plan.of_products.picture)
    more = [batch for batch in farm.batches if batch.key == "b1"]
    trial = planner.trial(plan, growing_farm(batches=(*farm.batches, more[0].__class__("b9", "lagurus"))))
    assert trial.season_picture.kinds[Product("cosmos_white")] == plan.season_picture.kinds[Product("cosmos_white")]
    assert kind_stems(trial.season_asked, Product("cosmos_white"), trial.of_products.picture) is cosmos


def test_the_better_day_has_most_free_at_the_level_and_then_at_that_of_hope() -> None:
    free = np.array([[[3, 5], [2, 2], [0, 0]], [[9, 5], [4, 7], [1, 0]]], np.int32)
    assert better_days(free).tolist() == [1, 1, 0]
