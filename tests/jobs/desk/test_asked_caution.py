"""What to mind of what is asked: the caution of its kind, in whatever form; a choice has none of its own."""

from haulm.jobs.desk.asked_caution import caution_of
from support.farms import variety
from support.planned_farms import growing_farm, planned

PLAN = planned(
    growing_farm(varieties=(variety(), variety("cosmos_white", caution="handle with care", hold_days=5))), seasons=8
)


def test_a_kind_has_its_caution_fresh_or_dried() -> None:
    assert caution_of(PLAN, "cosmos_white") == caution_of(PLAN, "cosmos_white:dried") == "handle with care"
    assert caution_of(PLAN, "lagurus") == PLAN.crops["lagurus"].caution != ""


def test_a_kind_that_is_not_grown_or_not_chosen_yet_has_no_word() -> None:
    assert [caution_of(PLAN, asked) for asked in ("peony", "role=texture")] == ["", ""]
