"""What is ticked as at home or ordered: the day to act is then the last day to sow, for every gap it helps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.options.option import Option
from haulm.farm.at_home import AtHome, needed
from haulm.farm.edits import with_rows
from haulm.farm.words import InHand, Method, Needed
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import days_of, remedies
from haulm.planning.sowing_search import terms_of
from support.farms import batch, standing_order
from support.planned_farms import DRAWING, TODAY, growing_farm

FARM = growing_farm(
    batches=(batch("few", plants=5, bed="north", metres=1.0),),
    standing_orders=(standing_order(first="2027-W32", last="2027-W33"),),
    orders=(),
    order_lines=(),
)


def plan_with(*ticks: AtHome, today: date = TODAY) -> Plan:
    return Planner(DRAWING).plan(with_rows(FARM, ticks), today)


def sowings(plan: Plan) -> dict[str, Option]:
    """The first sowing of each gap."""
    options = {gap.key: remedies(plan, gap) for gap in plan.gaps(None)}
    seed = {key: [o for o in found if o.batches and o.kind != "plugs"] for key, found in options.items()}
    return {key: found[0] for key, found in seed.items() if found}


@pytest.fixture(scope="module")
def plain() -> Plan:
    return plan_with()


@pytest.mark.parametrize("state", InHand)
def test_with_its_seed_in_hand_a_sowing_is_the_same_and_only_its_days_move(plain: Plan, state: InHand) -> None:
    kinds = {batch.variety for option in sowings(plain).values() for batch in option.batches}
    ticked = plan_with(*(AtHome(kind, Needed.SEED, state, TODAY) for kind in kinds))

    assert sowings(plain)
    for key, before in sowings(plain).items():
        after = sowings(ticked)[key]
        assert (after.batches, after.after, after.sow_by) == (before.batches, before.after, before.sow_by)
        assert after.at_home and after.order_by is None and after.act_by == after.sow_by
        assert before.order_by is not None and before.act_by == before.order_by < after.act_by


def test_the_days_of_the_gap_follow_it(plain: Plan) -> None:
    kinds = {batch.variety for option in sowings(plain).values() for batch in option.batches}
    ticked = plan_with(*(AtHome(kind, Needed.SEED, InHand.AT_HOME, TODAY) for kind in kinds))
    for before, after in zip(plain.gaps(None), ticked.gaps(None), strict=True):
        assert days_of(plain, before).act_by < days_of(ticked, after).act_by == sowings(ticked)[after.key].sow_by
        assert days_of(plain, before).last_chance == days_of(ticked, after).last_chance


def test_a_tick_of_last_season_or_of_another_kind_moves_nothing(plain: Plan) -> None:
    kinds = {batch.variety for option in sowings(plain).values() for batch in option.batches}
    old = tuple(AtHome(kind, Needed.SEED, InHand.AT_HOME, TODAY - timedelta(days=200)) for kind in kinds)
    other = tuple(AtHome(kind, Needed.TUBERS, InHand.AT_HOME, TODAY) for kind in kinds)
    assert sowings(plan_with(*old, *other)) == sowings(plain)


def test_plugs_at_home_can_be_planted_today_and_ordered_ones_when_they_can_be_here() -> None:
    (kind, *_) = FARM.varieties
    ticks = {state: AtHome(kind.key, Needed.PLUGS, state, TODAY - timedelta(days=7)) for state in InHand}
    assert needed(Method.PLUGS) is Needed.PLUGS
    plan = plan_with()
    crop, terms = plan.crops[kind.key], terms_of(plan)
    weeks = timedelta(weeks=crop.costs.plug_weeks)

    assert terms.here_from(crop, Method.PLUGS) == TODAY + weeks
    assert replace(terms, ticks=(ticks[InHand.AT_HOME],)).here_from(crop, Method.PLUGS) == TODAY
    ordered = replace(terms, ticks=(ticks[InHand.ORDERED],)).here_from(crop, Method.PLUGS)
    assert ordered == TODAY + weeks - timedelta(days=7)
