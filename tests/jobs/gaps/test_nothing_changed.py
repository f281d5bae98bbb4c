"""A what-if that changes nothing says why, by what was changed and what it gives, and never that all is well."""

from dataclasses import replace

from haulm.farm.words import BatchStatus
from haulm.jobs.gaps.nothing_changed import nothing_changed
from haulm.planning.planner import Planner
from support.farms import batch, farm
from support.planned_farms import DRAWING, TODAY, growing_farm

PLANNER = Planner(replace(DRAWING, seasons=16))
FARM = growing_farm()
BEFORE = PLANNER.plan(FARM, TODAY)


def said(*batches: object, frost: int = 0) -> str:
    changed = replace(FARM, batches=batches) if batches else FARM
    return nothing_changed(BEFORE, PLANNER.trial(BEFORE, changed), frost_days_earlier=frost)  # type: ignore[arg-type]


def test_what_the_farm_says_already_is_told_as_such() -> None:
    assert said().startswith("Nothing changes: the farm says so already.")


def test_an_earlier_frost_that_harms_nobody_is_not_taken_for_no_question() -> None:
    assert said(frost=7) == (
        "Nothing changes: no order is any more or less sure by it, and nobody would be short of anything else."
    )


def test_a_batch_that_gives_no_stems_says_why_and_one_that_nobody_needs_that() -> None:
    lost = batch("lost", plants=60, bed="north", status=BatchStatus.LOST)
    more = batch("more", sow="2027-05-03", plants=5, bed="south")

    words = said(*FARM.batches, lost, more)

    assert words.startswith("Nothing changes for any order. Lagurus (lost): It gives no more stems: it is recorded")
    assert words.endswith("Lagurus (more): no order needs its stems; what nobody needs stands under what is free.")
    assert "b1" not in words


def test_a_farm_without_a_climate_says_that_nothing_is_forecast_whatever_is_changed() -> None:
    planner, bare = Planner(DRAWING), farm()
    before = planner.plan(bare, TODAY)
    for change in ({"customers": ()}, {"batches": (*bare.batches, batch("more", plants=5))}):
        after = planner.trial(before, replace(bare, **change))

        assert after.growth.missing is not None
        assert nothing_changed(before, after, frost_days_earlier=0) == (
            f"Nothing changes for any order, since nothing is forecast: {after.growth.missing.sentence}"
        )
