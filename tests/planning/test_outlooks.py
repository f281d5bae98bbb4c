"""Outlooks of a match: equal whether worked out from nothing or after another match, of which they keep what stayed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from haulm.farm.edits import Row, with_rows
from haulm.farm.snapshot import Farm
from haulm.matching.reading.confidence import expected_missing, joint_confidence
from haulm.planning.outlooks import outlooks_of
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from support.farms import batch, customer, known_stems, order, order_line, standing_line, standing_order
from support.planned_farms import DRAWING, TODAY, growing_farm, planned

LEVELS = (0.8, None, 0.5)
WEDDING = (order("may", due="2027-08-05", customer="ben"), order_line("may-1", order="may", stems=50, spare=5))
CHANGES: dict[str, tuple[Row, ...]] = {
    "nothing": (),
    "an added wedding": WEDDING,
    "a wedding on the day of another": (order("may", due="2027-07-29", customer="ben"), WEDDING[1]),
    "a wedding moves": (order("summer", due="2027-08-05", customer="ben"),),
    "a standing line asks more": (standing_line(stems=70),),
    "a second line of an order": (order_line("summer-2", order="summer", product="lagurus", stems=45),),
    "an added batch": (batch("b3", sow="2027-05-10", plants=80),),
    "counted stems": (known_stems(ready="2027-07-05", stems=60),),
}


def shop() -> Farm:
    """The growing farm with a second florist, whose orders a change of the first may leave as they are."""
    orders = (standing_order(first="2027-W27", last="2027-W36"), standing_order("ben-weekly", customer="ben"))
    lines = (standing_line(stems=40), standing_line("ben-1", order="ben-weekly", product="cosmos_white", stems=12))
    return growing_farm(customers=(customer(), customer("ben")), standing_orders=orders, standing_lines=lines)


def told(plan: Plan, level: float | None) -> tuple[object, ...]:
    """Everything that is said over the seasons at a level."""
    return (plan.outlooks, plan.deliveries(level), plan.gaps(level))


@pytest.mark.parametrize("was_asked", [True, False])
@pytest.mark.parametrize("name", CHANGES)
def test_a_trial_says_what_a_plan_made_from_nothing_says(name: str, was_asked: bool) -> None:
    planner, changed = Planner(DRAWING), with_rows(shop(), CHANGES[name])
    plan = planner.plan(shop(), TODAY)
    if was_asked:
        told(plan, LEVELS[0])

    trial, fresh = planner.trial(plan, changed), planned(changed)

    for level in (*LEVELS, LEVELS[0]):
        assert told(trial, level) == told(fresh, level)
        assert told(plan, level) == told(planned(shop()), level)


def test_versions_tried_and_written_one_after_another_leave_no_trace_of_the_way() -> None:
    planner, farm = Planner(DRAWING), shop()
    for version, rows in enumerate(CHANGES.values(), start=1):
        plan = planner.plan(farm, TODAY)
        told(plan, LEVELS[version % 2])
        farm = replace(with_rows(farm, rows), version=version)
        told(planner.trial(plan, farm), LEVELS[0])

    assert told(planner.plan(farm, TODAY), LEVELS[0]) == told(planned(farm), LEVELS[0])


def test_a_delivery_is_as_sure_as_its_own_lines_in_the_same_season() -> None:
    plan = planned(with_rows(shop(), CHANGES["a second line of an order"]))
    result = plan.result

    for found in plan.deliveries(0.8):
        places = [
            place
            for place, line in enumerate(result.lines)
            if (line.order, line.due) == (found.order, found.due) and not line.is_spare
        ]
        assert found.lines == len(places)
        assert found.joint_confidence == pytest.approx(joint_confidence(result, places), abs=1e-12)
        assert found.expected_missing == pytest.approx(sum(expected_missing(result, place) for place in places))
        assert found.is_sure == (found.joint_confidence >= 0.8 - 1e-9)


def test_a_line_told_with_all_others_is_as_sure_to_the_last_bit_as_told_alone() -> None:
    plan = planned(shop())

    assert any(0 < outlook.confidence < 1 for outlook in plan.outlooks)
    assert plan.outlooks == tuple(plan.outlook_of(line) for line in plan.result.lines)


def test_what_a_change_does_not_reach_is_the_very_same_object() -> None:
    planner = Planner(DRAWING)
    plan = planner.plan(shop(), TODAY)
    told(plan, 0.8)
    trial = planner.trial(plan, with_rows(shop(), CHANGES["a standing line asks more"]))

    def of_ben(of: Plan) -> list[object]:
        lines = [outlook for outlook in of.outlooks if outlook.line.order == "ben-weekly"]
        return [*lines, *(one for one in of.deliveries(0.8) if one.order == "ben-weekly")]

    before, after = of_ben(plan), of_ben(trial)
    assert len(before) > 20
    assert all(one is other for one, other in zip(before, after, strict=True))


def test_other_weights_of_the_same_takes_are_looked_at_anew() -> None:
    result = planned(shop()).result
    weights = np.linspace(0.5, 1.5, result.supply.seasons) / result.supply.seasons
    weighed = replace(result, supply=replace(result.supply, weights=weights))

    assert outlooks_of(weighed, outlooks_of(result)).lines == outlooks_of(weighed).lines != outlooks_of(result).lines


def test_other_seasons_are_looked_at_anew() -> None:
    plan, fewer = planned(shop()), planned(shop(), seasons=100)

    found = outlooks_of(fewer.result, outlooks_of(plan.result))

    assert found.lines == outlooks_of(fewer.result).lines


def test_a_delivery_is_sure_where_its_joint_confidence_reaches_the_least_level_of_its_lines() -> None:
    lines = (
        order_line("summer-1", order="summer", stems=40, promised_confidence=0.9),
        order_line("summer-2", order="summer", product="cosmos_white", stems=20, promised_confidence=0.4),
    )
    plan = planned(growing_farm(order_lines=lines))
    (found,) = (one for one in plan.deliveries(None) if one.order == "summer")

    assert found.level == 0.4 and found.is_sure is (found.joint_confidence >= 0.4 - 1e-9)
    assert {one.level for one in plan.deliveries(0.7)} == {0.7}
