"""How long batches stand in their beds, by the forecast."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from haulm.farm.beds import Bed
from haulm.farm.words import Method
from haulm.jobs.gaps.over_full_beds import over_full_beds
from haulm.planning.planner import Planner
from haulm.planning.stays import last_stem_of
from support.demo_farms import demo_plan
from support.farms import batch, site
from support.planned_farms import DRAWING, TODAY, growing_farm, planned


def test_the_demo_asks_no_bed_for_more_metres_than_it_has() -> None:
    assert list(over_full_beds(demo_plan())) == []


def test_no_bed_is_cleared_before_its_last_stem_in_four_seasons_of_five() -> None:
    plan = planned(growing_farm())
    room, forecast = plan.room, plan.growth.forecast
    assert forecast is not None
    for one in plan.growth.seen.batches:
        dates = room.dates(one, plan.crops[one.variety])
        assert dates is not None
        days = (dates[1] - plan.growth.first_day).days
        stems = forecast.stems_of(one.key, plan.growth.first_day, plan.growth.days)
        late = sum(array[days + 1 :].sum(axis=0) for array in stems.values()) > 0  # type: ignore[union-attr]
        assert forecast.weights[late].sum() < 0.35


def test_what_is_sown_in_autumn_stands_until_it_has_flowered() -> None:
    autumn = batch("a1", sow="2026-10-05", method=Method.DIRECT, plants=60, bed="north", metres=8.0, status="sown")
    plan = planned(growing_farm(batches=(autumn,)))
    dates = plan.room.dates(autumn, plan.crops[autumn.variety])
    assert dates is not None and dates[1] > date(2027, 5, 1)


def test_a_batch_that_might_be_added_is_judged_as_it_would_be_in_the_plan() -> None:
    extra = batch("extra", sow="2027-05-03", plants=60, bed="south")
    plan = planned(growing_farm())
    added = planned(growing_farm(batches=(*growing_farm().batches, extra)))
    then = last_stem_of(added.farm, added.growth)(extra)
    now = last_stem_of(plan.farm, plan.growth)(extra)
    assert now is not None and then is not None and abs(now - then) <= timedelta(days=3)


def test_a_trial_knows_how_long_batches_stand_as_a_plan_made_anew_does() -> None:
    planner, farm = Planner(DRAWING), growing_farm()
    plan = planner.plan(farm, TODAY)
    first = farm.batches[0]
    assert first.sow_date is not None
    moved = replace(first, sow_date=first.sow_date + timedelta(days=14))
    for batches in ((moved, *farm.batches[1:]), (*farm.batches, replace(moved, key="more")), farm.batches[1:]):
        tried = planner.trial(plan, replace(farm, batches=batches))
        anew = Planner(DRAWING).plan(replace(farm, batches=batches), TODAY)
        known = {one.key for one in tried.growth.seen.batches}
        room = tried.room
        for one in batches:
            room = room if one.key in known else room.with_batch(one, tried.crops[one.variety])
        assert (room.beds, room.on_benches) == (anew.room.beds, anew.room.on_benches)
        assert room.in_beds == anew.room.in_beds


def test_a_farm_without_a_climate_goes_by_the_calendar() -> None:
    plan = planned(growing_farm(site=site()))
    assert all(last_stem_of(plan.farm, plan.growth)(one) is None for one in plan.farm.batches)


def test_an_over_full_bed_is_said_with_its_week_and_metres() -> None:
    farm = growing_farm()
    short = tuple(replace(bed, metres=10.0) if bed.key == "north" else bed for bed in farm.beds)
    (found,) = over_full_beds(planned(replace(farm, beds=(*short, Bed("spare", "Spare bed", metres=1.0)))))
    assert (found.bed, found.worst.asked, found.worst.metres) == ("north", 16.0, 10.0)
    assert found.sentence.startswith("North bed is over-full in week") and "16 m asked" in found.sentence
    assert found.sentence.endswith("10 m there.") and str(found.weeks[0].week) not in found.sentence
