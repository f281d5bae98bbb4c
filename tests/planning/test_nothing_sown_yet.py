"""A farm on which nothing is sown yet is told what to sow for its first order."""

from __future__ import annotations

from haulm.planning.remedies import remedies
from haulm.planning.why_open import why_open
from support.farms import order, order_line
from support.planned_farms import growing_farm, planned


def test_the_first_order_of_a_farm_without_a_sowing_gets_one_advised() -> None:
    asked = order_line("o-1", order="o", product="lagurus", stems=20)
    farm = growing_farm(
        batches=(), standing_orders=(), standing_lines=(), orders=(order("o", due="2027-08-26"),), order_lines=(asked,)
    )
    plan = planned(farm)
    (gap,) = plan.gaps(None)
    best, *others = remedies(plan, gap)

    assert best.batches and best.closes
    (bought,) = (option for option in others if option.kind == "buy_in")
    assert best.worth is not None and bought.worth is not None and best.worth.net_minor < bought.worth.net_minor
    assert why_open(plan, gap) is None
    assert plan.growth.field == {} and gap.expected_missing == 20.0


def test_a_farm_without_kinds_has_no_seasons_and_no_gap() -> None:
    plan = planned(
        growing_farm(batches=(), varieties=(), standing_orders=(), standing_lines=(), orders=(), order_lines=())
    )

    assert plan.growth.forecast is None and plan.gaps(None) == ()
