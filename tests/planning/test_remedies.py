"""What can still close a gap, on whole farms: everything that is suggested does what it says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from haulm.advice.options.option import Option, Proof
from haulm.advice.options.ranking import closes_for_good, is_from_seed
from haulm.advice.shortfalls import Gap
from haulm.farm.edits import with_rows
from haulm.farm.products import Product
from haulm.farm.site import ClassLevels
from haulm.farm.snapshot import Farm
from haulm.farm.words import BatchStatus, Method, Role
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import days_of, remedies
from support.demo_farms import DEMO_DRAWING, demo_farm, demo_plan
from support.farms import batch, customer, order, order_line, site, variety
from support.planned_farms import DRAWING, TODAY, growing_farm, growing_site

LEVEL = 0.8
Found = list[tuple[Plan, Gap, Option]]


@pytest.fixture(scope="module")
def options() -> Found:
    """The options of some of the demo farm's gaps in mid March, and of those it would have without two of its kinds."""
    found = _options(demo_plan(), "", every=2)
    for kind in ("cornflower_blue", "sunflower_single"):
        found += _options(Planner(DEMO_DRAWING).plan(_without(demo_farm(), kind), TODAY), kind)
    return found


def _options(plan: Plan, asked: str, every: int = 1) -> Found:
    gaps = [gap for gap in plan.gaps(LEVEL) if asked in gap.asked][::every]
    return [(plan, gap, option) for gap in gaps for option in remedies(plan, gap)]


def _without(farm: Farm, variety: str) -> Farm:
    """The farm had it never sown a kind."""
    gone = {batch.key for batch in farm.batches if batch.variety == variety}
    batches = tuple(batch for batch in farm.batches if batch.key not in gone)
    return replace(farm, batches=batches, records=tuple(row for row in farm.records if row.batch not in gone))


def proof_of(plan: Plan, gap: Gap) -> Proof:
    """What a plan says of a gap's lines, worked out for the whole farm."""
    outlooks = [plan.outlook_of(short.line) for short in gap.shortfalls]
    return Proof(tuple(o.confidence for o in outlooks), sum(o.expected_missing for o in outlooks))


class TestDemoFarm:
    def test_there_are_gaps_that_a_sowing_closes(self, options: Found) -> None:
        sizes = [len(option.batches) for _, _, option in options if option.closes]
        assert sizes.count(1) >= 5

    def test_a_suggested_batch_added_as_it_is_makes_the_shortfall_disappear(self, options: Found) -> None:
        closing = [found for found in options if found[2].closes and found[2].batches]
        for plan, gap, option in closing[::3][:5]:
            farm = replace(with_rows(plan.farm, option.batches), version=1)
            fresh = Planner(DEMO_DRAWING).plan(farm, TODAY)
            assert proof_of(fresh, gap) == option.after
            still_short = {short.line for other in fresh.gaps(LEVEL) for short in other.shortfalls}
            assert still_short.isdisjoint(short.line for short in gap.shortfalls)

    def test_a_proof_equals_a_full_trial_of_the_farm(self, options: Found) -> None:
        planner = Planner(DEMO_DRAWING)
        for plan, gap, option in [found for found in options if found[2].batches][::5]:
            trial = planner.trial(plan, with_rows(plan.farm, option.batches))
            assert proof_of(trial, gap) == option.after
            assert option.before == proof_of(plan, gap)

    def test_most_batches_close_the_gap_whatever_their_own_luck(self, options: Found) -> None:
        """A batch under another key draws its own luck anew; with a seventh of the usual seasons luck weighs more."""
        planner = Planner(DEMO_DRAWING)
        closing = [found for found in options if found[2].closes and found[2].batches]
        held = 0
        for plan, gap, option in closing:
            renamed = [replace(one, key=f"other-{number}") for number, one in enumerate(option.batches)]
            trial = planner.trial(plan, with_rows(plan.farm, renamed))
            held += proof_of(trial, gap).confidence >= LEVEL - 1e-9
        assert held >= 0.8 * len(closing)

    def test_nothing_is_suggested_that_is_past_or_has_no_room(self, options: Found) -> None:
        for plan, _, option in options:
            assert option.decide_by >= plan.today
            for one in option.batches:
                assert (one.sow_date or one.plant_out_date or date.min) >= plan.today
                assert one.bed is not None and one.metres is not None
                assert (one.trays is not None) is (one.method in (Method.HEATED, Method.COVER))

    def test_what_does_not_close_a_gap_says_so_and_is_told_only_where_nothing_does(self, options: Found) -> None:
        for plan, gap in {(plan, gap) for plan, gap, _ in options}:
            own = [option for at, of, option in options if at is plan and of == gap and option.after is not None]
            partial = [option for option in own if not option.closes and not option.is_near]
            if any(closes_for_good(option) for option in own):
                assert all(is_from_seed(option) for option in partial)
                assert not partial or not any(is_from_seed(option) for option in own if option.closes)
            assert len({(option.kind, is_from_seed(option)) for option in partial}) == len(partial)
            for option in partial:
                assert option.after is not None and option.after.missing <= 0.9 * option.before.missing
            assert all(
                option.after is not None and option.after.confidence >= LEVEL - 1e-9 for option in own if option.closes
            )

    def test_the_day_to_act_is_that_of_the_way_recommended_and_never_before_today(self, options: Found) -> None:
        for plan, gap in {(plan, gap) for plan, gap, _ in options}:
            own = [option for at, of, option in options if at is plan and of == gap]
            days = days_of(plan, gap)
            assert (days.act_by, days.kind) == (own[0].act_by, own[0].kind)
            assert days.tell_by == next(option.decide_by for option in own if option.kind == "tell") >= plan.today
            closing = {option.decide_by for option in own if option.closes}
            assert {days.last_chance} - {None} <= closing


def test_an_option_closes_a_gap_where_each_line_reaches_a_level_of_its_own() -> None:
    """A wedding held to nineteen twentieths asks the kind of weekly lines that are held to seven tenths."""
    planner, site_of_both = Planner(DRAWING), growing_site(levels=ClassLevels(standing=0.7, wedding=0.95))
    august = order("summer", due="2027-08-26", customer="ben")
    lines = (order_line("summer-1", order="summer", product="lagurus", stems=60),)
    plan = planner.plan(growing_farm(site=site_of_both, orders=(august,), order_lines=lines), TODAY)
    closing = [
        (gap, option) for gap in plan.gaps(None) for option in remedies(plan, gap) if option.closes and option.batches
    ]
    assert any(set(gap.levels) == {0.7, 0.95} for gap, _ in closing)
    for gap, option in closing:
        trial = planner.trial(plan, with_rows(plan.farm, option.batches))
        assert proof_of(trial, gap) == option.after and option.after.reaches(gap.levels)
        still_short = {short.line for other in trial.gaps(None) for short in other.shortfalls}
        assert still_short.isdisjoint(short.line for short in gap.shortfalls)


class TestDaysOfAGap:
    def test_options_are_worked_out_once(self) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        gap = plan.gaps(LEVEL)[0]
        assert remedies(plan, gap) is remedies(plan, gap)

    def test_on_its_last_day_an_option_can_still_be_taken(self) -> None:
        planner = Planner(DRAWING)
        plan = planner.plan(growing_farm(), TODAY)
        gap = plan.gaps(LEVEL)[-1]
        last = max(o.decide_by for o in remedies(plan, gap) if o.closes)
        grown = tuple(replace(one, status=BatchStatus.PLANTED) for one in plan.farm.batches)
        later = Planner(DRAWING).plan(growing_farm(batches=grown), last)
        same = [other for other in later.gaps(LEVEL) if gap.weeks[-1] in other.weeks]
        found = [option for other in same for option in remedies(later, other) if option.closes]
        assert last in {option.decide_by for option in found}

    def test_once_it_is_too_late_to_sow_people_are_to_be_told(self) -> None:
        plan = Planner(DRAWING).plan(growing_farm(customers=(customer(notice_days=9), customer("ben"))), TODAY)
        gap = plan.gaps(LEVEL)[0]
        late = Planner(DRAWING).plan(plan.farm, date(2027, 6, 21))
        first = min(short.line.due for short in gap.shortfalls)
        days = days_of(late, gap)
        assert days.last_chance is None
        assert days.tell_by == max(date(2027, 6, 21), date.fromordinal(first.toordinal() - 9))


def test_a_farm_without_a_climate_is_offered_no_sowing() -> None:
    planner = Planner(DRAWING)
    plan = planner.plan(growing_farm(site=site(), batches=(batch(),)), TODAY)
    kinds = {option.kind for gap in plan.gaps(LEVEL) for option in remedies(plan, gap)}
    assert kinds == {"buy_in", "tell"}


def test_where_its_own_kind_flowers_too_late_a_quicker_one_that_the_customer_named_is_sown() -> None:
    """Lagurus takes 20 weeks here; the wedding at the end of July takes cosmos, which takes nine."""
    slow = variety(weeks_to_flower=20, role=Role.FOCAL)
    quick = variety("cosmos_white", weeks_to_flower=9, role=Role.FOCAL, hold_days=5)
    line = order_line("summer-1", order="summer", stems=30, substitutes=(Product("cosmos_white"),))
    farm = growing_farm(varieties=(slow, quick), batches=(batch(sow="2027-06-01", plants=5),), order_lines=(line,))
    plan = Planner(DRAWING).plan(replace(farm, standing_lines=()), TODAY)
    (gap,) = plan.gaps(LEVEL)
    found = [option for option in remedies(plan, gap) if option.batches]
    assert {option.kind for option in found if option.closes} == {"faster_kind"}
    assert {one.variety for option in found for one in option.batches if option.closes} == {"cosmos_white"}
    assert days_of(plan, gap).act_by >= TODAY
