"""Options worth doing, on random farms: what is recommended does what it says on the day it says, and harms nobody."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.options.option import Option, Proof
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.products import Choice
from haulm.farm.snapshot import Farm
from haulm.farm.words import Method
from haulm.planning.across_gaps import beyond, clash
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.farms import batch as sown_batch
from support.farms import order, order_line
from support.farms_with_gaps import farm_with_gaps
from support.planned_farms import DRAWING, TODAY, growing_farm
from support.scale import is_large

FARMS = range(120) if is_large() else (2, 9, 14, 32, 43, 55, 57, 67, 91, 114)
"""In the usual run those of them on which sowings close gaps and are worth it, which is rare, and two others."""
Found = list[tuple[Plan, Gap, tuple[Option, ...]]]


@pytest.fixture(scope="module")
def gaps() -> Found:
    """The gaps of some random farms, each with its options."""
    farms = [farm_with_gaps(random.Random(seed)) for seed in FARMS]
    plans = [Planner(DRAWING).plan(farm, TODAY) for farm in (*farms, one_gap_in_two(), narrow_beds())]
    return [(plan, gap, remedies(plan, gap)) for plan in plans for gap in plan.gaps(None)]


def one_gap_in_two() -> Farm:
    """What is sown for the cosmos of a standing order also gives the few stems of any kind that somebody else asks."""
    farm = farm_with_gaps(random.Random(114))
    due, any_fresh = order("few", due="2027-09-02", customer="ben"), Choice.parse("form=fresh")
    line = order_line("few-1", order="few", product=None, choice=any_fresh, stems=3, max_each=3)
    return replace(farm, orders=(*farm.orders, due), order_lines=(*farm.order_lines, line))


def narrow_beds() -> Farm:
    """Either of two sowings that would close a gap has room in beds of a metre, and not both."""
    farm = farm_with_gaps(random.Random(57))
    return replace(farm, beds=tuple(replace(bed, metres=1.0) if bed.metres else bed for bed in farm.beds))


def day_of(batch: Batch) -> date:
    day = batch.sow_date or batch.plant_out_date
    assert day is not None
    return day


def begun_on(batches: tuple[Batch, ...], day: date) -> tuple[Batch, ...]:
    """Batches as they are, the first of them begun on a day."""
    later = day - min(map(day_of, batches))
    moved = (
        replace(one, plant_out_date=day_of(one) + later)
        if one.method is Method.PLUGS
        else replace(one, sow_date=day_of(one) + later)
        for one in batches
    )
    return tuple(moved)


def proof_with(plan: Plan, gap: Gap, batches: tuple[Batch, ...]) -> Proof:
    """What the whole farm with batches says of a gap's lines."""
    trial = Planner(DRAWING).trial(plan, with_rows(plan.farm, batches))
    found = [trial.outlook_of(short.line) for short in gap.shortfalls]
    return Proof(tuple(one.confidence for one in found), sum(one.expected_missing for one in found))


def sowings(gaps: Found) -> Iterator[tuple[Plan, Gap, Option]]:
    yield from ((plan, gap, option) for plan, gap, options in gaps for option in options if option.batches)


def recommended(gaps: Found) -> list[tuple[Plan, Gap, Option]]:
    """The sowings that are recommended and close their gap."""
    return [(plan, gap, options[0]) for plan, gap, options in gaps if options[0].closes and options[0].batches]


def test_there_is_something_to_judge(gaps: Found) -> None:
    assert len(gaps) >= len(FARMS) and sum(option.closes for _, _, option in sowings(gaps)) >= 10
    assert len(recommended(gaps)) >= 8
    methods = {batch.method for _, _, option in sowings(gaps) for batch in option.batches}
    assert methods >= {Method.PLUGS, Method.TUBER}
    assert any(not option.is_in_proportion for _, _, options in gaps for option in options)


def test_what_is_recommended_closes_its_gap_if_it_is_sown_on_its_last_day(gaps: Found) -> None:
    for plan, gap, best in recommended(gaps):
        assert best.sow_by is not None and best.after == proof_with(plan, gap, best.batches)
        assert proof_with(plan, gap, begun_on(best.batches, best.sow_by)).reaches(gap.levels)


def test_whoever_it_makes_less_sure_is_named_and_nobody_else_is(gaps: Found) -> None:
    for plan, gap, options in gaps:
        best = options[0]
        if not best.batches:
            continue
        named = {(one.line.line, one.line.due): one.after for one in beyond(plan, gap, best.batches).lowered}
        trial = Planner(DRAWING).trial(plan, with_rows(plan.farm, best.batches))
        for found in plan.outlooks:
            now = trial.outlook_of(found.line).confidence
            if not found.line.is_spare and now < found.confidence - 0.001:
                assert named[found.line.line, found.line.due] == pytest.approx(now)


def test_what_it_also_closes_is_no_longer_short(gaps: Found) -> None:
    also: list[str] = []
    for plan, gap, options in gaps:
        best = options[0]
        if best.batches and best.closes:
            trial = Planner(DRAWING).trial(plan, with_rows(plan.farm, best.batches))
            short = {one.line.line for found in trial.gaps(None) for one in found.shortfalls}
            for other in beyond(plan, gap, best.batches).also_close:
                assert other.key != gap.key and not short & {one.line.line for one in other.shortfalls}
                also.append(other.key)
    assert "form.fresh-2027-W35" in also


def test_its_days_are_in_order_and_days_on_which_somebody_works(gaps: Found) -> None:
    for plan, _, option in sowings(gaps):
        site = plan.farm.site
        assert option.sow_by is not None and option.act_by >= plan.today
        assert min(map(day_of, option.batches)) <= option.sow_by <= option.decide_by
        assert option.order_by is None or plan.today <= option.order_by <= option.sow_by
        days = [*map(day_of, option.batches), option.sow_by, *([option.order_by] if option.order_by else [])]
        assert all(site.is_work_day(day) for day in days)
        assert replace(option, at_home=True).act_by == option.sow_by


def test_sowings_come_in_the_farms_steps_and_plugs_in_whole_trays_that_can_be_here(gaps: Found) -> None:
    for plan, _, option in sowings(gaps):
        for batch in option.batches:
            costs, rules = plan.crops[batch.variety].costs, plan.farm.site.costs
            if batch.method is Method.PLUGS:
                assert costs.sold_as_plugs or batch.variety in rules.plug_kinds
                assert batch.places % costs.plug_tray == 0 and batch.places >= costs.plug_least
                assert day_of(batch) >= plan.today + timedelta(weeks=costs.plug_weeks)
            elif batch.method is Method.TUBER:
                assert batch.places % costs.tuber_bag == 0


def test_what_is_recommended_is_worth_it_or_the_only_way(gaps: Found) -> None:
    for _, _, options in gaps:
        worthy = [option for option in options if option.is_in_proportion]
        dear = [option for option in options if not option.is_in_proportion]
        assert len(dear) <= 1 and options[: len(worthy)] == tuple(worthy)
        if any(option.closes and option.kind != "make_room" for option in worthy):
            assert not dear


def test_seed_is_never_hidden_behind_plugs(gaps: Found) -> None:
    """Where both close a gap and are worth it, seed comes first."""
    for _, _, options in gaps:
        closing = [option for option in options if option.closes and option.batches and option.is_in_proportion]
        plugs = [any(batch.method is Method.PLUGS for batch in option.batches) for option in closing]
        assert plugs == sorted(plugs)


def test_no_sentence_has_a_key_or_a_date_that_only_programs_read(gaps: Found) -> None:
    for plan, _, options in gaps:
        keys = {batch.key for batch in plan.farm.batches} | {bed.key for bed in plan.farm.beds} | {"ben", "anna"}
        for option in options:
            words = option.sentence.replace(",", " ").replace(".", " ").replace(":", " ").split()
            assert not keys & set(words) and "2027-" not in option.sentence


def test_two_sowings_clash_exactly_where_the_beds_have_no_room_for_both(gaps: Found) -> None:
    clashed = fitted = 0
    for plan, _, options in gaps:
        found = [option for option in options if option.batches][:2]
        if len(found) < 2:
            continue
        one, other = found
        room = plan.room
        for batch in one.batches:
            room = room.with_batch(batch, plan.crops[batch.variety])
        first = other.batches[0]
        beds = {fit.bed for fit in room.fits(first, plan.crops[first.variety])}
        if clash(plan, one, other) is None:
            assert first.bed in beds
            fitted += 1
        elif len(other.batches) == 1 and first.trays is None:
            assert first.bed not in beds
            clashed += 1
    assert clashed and fitted


def test_who_loses_stems_to_a_choice_is_named() -> None:
    """With more cosmos than lagurus to spare any fresh stems come of cosmos, and who asks for cosmos has less."""

    def cosmos(key: str, plants: int) -> Batch:
        sown = {"sow": "2027-04-19", "method": Method.COVER, "bed": "south"}
        return sown_batch(key, variety="cosmos_white", plants=plants, **sown)

    due, any_fresh = "2027-07-29", Choice.parse("form=fresh")
    farm = growing_farm(
        standing_orders=(),
        standing_lines=(),
        batches=(sown_batch("b1", sow="2027-04-12", plants=15, bed="north"), cosmos("c1", 50)),
        orders=(order("any", due=due), order("named", due=due), order("late", due="2027-09-30")),
        order_lines=(
            order_line("any-1", order="any", product=None, choice=any_fresh, stems=60, max_each=60),
            order_line("named-1", order="named", product="cosmos_white", stems=20),
            order_line("late-1", order="late", stems=80),
        ),
    )
    plan = Planner(DRAWING).plan(farm, TODAY)
    gap, more = plan.gaps(None)[-1], (cosmos("c2", 20),)
    trial = Planner(DRAWING).trial(plan, with_rows(farm, more))

    (one,) = beyond(plan, gap, more).lowered
    assert one.line.line == "named-1" and one.after < one.before - 0.1
    assert one.after == trial.outlook_of(one.line).confidence
