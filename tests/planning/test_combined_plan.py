"""The combined plan: what it says is what a farm with its batches shows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulm.advice.room import bed_stay, bench_stay
from haulm.advice.season_plan import GapThen, SeasonPlan
from haulm.advice.shortfalls import Gap
from haulm.farm.edits import with_rows
from haulm.farm.products import Product
from haulm.farm.site import PriceRules
from haulm.planning.combined_plan import combined_plan, look_at
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.demo_farms import DEMO_DRAWING, demo_plan
from support.farms import batch, site
from support.planned_farms import TODAY, growing_farm, growing_site, planned

LEVEL = 0.8
LOW = 0.65
"""A single sowing may fail as a whole, so no number of its places makes a line much surer."""


@pytest.fixture(scope="module")
def demo() -> tuple[Plan, SeasonPlan]:
    """The demo farm in mid March with its combined plan."""
    return demo_plan(), planned_together(demo_plan(), LEVEL)


def planned_together(plan: Plan, level: float) -> SeasonPlan:
    """The combined plan, each gap looked at first."""
    return combined_plan(plan, level, [look_at(plan, gap) for gap in plan.gaps(level)])


def lines_of(gaps: list[Gap]) -> set[tuple[str, object]]:
    """The short lines of some gaps."""
    return {(short.line.line, short.line.due) for gap in gaps for short in gap.shortfalls}


def closed_in(plan: Plan, found: SeasonPlan) -> list[Gap]:
    """The gaps of a plan that its combined plan closes."""
    names = {one.gap.name for one in found.closed}
    return [gap for gap in plan.gaps(LEVEL) if gap.key in names]


class TestDemoFarm:
    def test_with_its_batches_the_shortfalls_are_the_ones_it_names_and_no_other(
        self, demo: tuple[Plan, SeasonPlan]
    ) -> None:
        plan, found = demo
        farm = replace(with_rows(plan.farm, found.batches), version=1)
        after = Planner(DEMO_DRAWING).plan(farm, TODAY).gaps(LEVEL)

        assert tuple(map(GapThen.of, after)) == tuple(still.gap for still in found.open)
        assert len(found.closed) >= 8
        assert lines_of(closed_in(plan, found)).isdisjoint(lines_of(list(after)))
        assert all(closed.confidence >= LEVEL - 1e-9 for closed in found.closed)

    def test_every_gap_that_a_sowing_closes_alone_is_closed(self, demo: tuple[Plan, SeasonPlan]) -> None:
        plan, found = demo
        closable = {
            gap.key
            for gap in plan.gaps(LEVEL)
            if any(o.closes and o.batches and o.is_in_proportion for o in remedies(plan, gap))
        }
        assert closable <= {closed.gap.name for closed in found.closed}

    def test_what_stays_open_says_why(self, demo: tuple[Plan, SeasonPlan]) -> None:
        reasons = {still.gap.asked: still.reason for still in demo[1].open}
        assert reasons["sweet_william"].startswith("No sowing in time")
        assert all(reason.endswith(".") for reason in reasons.values())

    def test_every_batch_is_needed(self, demo: tuple[Plan, SeasonPlan]) -> None:
        plan, found = demo
        closed = lines_of(closed_in(plan, found))
        for left_out in found.batches:
            others = [one for one in found.batches if one is not left_out]
            trial = Planner(DEMO_DRAWING).trial(plan, with_rows(plan.farm, others))
            assert not closed.isdisjoint(lines_of(list(trial.gaps(LEVEL))))

    def test_all_batches_together_fit_the_beds_and_benches(self, demo: tuple[Plan, SeasonPlan]) -> None:
        plan, found = demo
        room = plan.room
        beds = {bed.key: bed for bed in plan.farm.beds}
        for one in found.batches:
            crop = plan.crops[one.variety]
            stay = bed_stay(one, crop, beds, room.last_stem)
            assert stay is not None
            taken = sum(s.amount for s in room.in_beds if s.place == stay.place and s.first <= stay.first <= s.last)
            assert taken + stay.amount <= (beds[stay.place].metres or 0) + 1e-9
            if one.trays is not None:
                assert room.has_bench_for(one, crop, one.trays) and bench_stay(one, crop) is not None
            room = room.with_batch(one, crop)


def test_a_farm_with_nothing_short_needs_no_batch() -> None:
    plan = planned(growing_farm(standing_lines=(), order_lines=()))
    assert planned_together(plan, LEVEL) == SeasonPlan((), (), (), None)


def test_without_a_climate_every_gap_stays_and_says_so() -> None:
    plan = planned(growing_farm(site=site(), batches=(batch(),)))
    found = planned_together(plan, LEVEL)
    assert found.batches == () and found.closed == ()
    (reason,) = {still.reason for still in found.open}
    assert reason.startswith("No forecast, since the farm has given no climate: write frost dates")
    assert [still.gap for still in found.open] == list(map(GapThen.of, plan.gaps(LEVEL)))


def with_beds(metres: float) -> Plan:
    """The plan of the growing farm with beds of a length, and stems so dear that both of its kinds are worth sowing."""
    full = growing_farm(site=growing_site(prices=PriceRules(stem_minor=300)))
    beds = tuple(replace(bed, metres=None if bed.metres is None else metres) for bed in full.beds)
    return planned(replace(full, beds=beds))


def test_where_two_sowings_do_not_fit_together_it_says_so() -> None:
    """The north bed is over-full already; what is free in the south bed holds one of the two sowings."""
    found = planned_together(with_beds(7.0), LOW)
    assert len(found.closed) == len(found.batches) == 1
    assert any(still.reason.startswith("No room: a sowing closes it alone") for still in found.open)


def test_where_no_bed_has_room_it_says_what_would_have_to_be_free() -> None:
    plan = with_beds(3.0)
    found = planned_together(plan, LOW)
    assert found.batches == ()
    (full,) = (still.reason for still in found.open if still.gap.asked == "cosmos_white")
    assert full.startswith("No room: the beds are full: with 3.4 m free from")
    (room,) = (way for gap in plan.gaps(LOW) for way in remedies(plan, gap) if way.product == Product("cosmos_white"))
    assert room.kind == "make_room" and room.batches == () and room.after is not None
