"""A wedding that is sure line by line and not as a whole is told, since no gap would show it."""

from dataclasses import replace

from haulm.jobs.promises.whole_deliveries import unsure_as_a_whole
from support.farms import order_line
from support.planned_farms import growing_farm, planned


def test_a_wedding_less_sure_as_a_whole_than_promised_is_told_though_each_line_is_sure_enough() -> None:
    lines = (
        order_line("summer-1", order="summer", product="cosmos_white", stems=15),
        order_line("summer-2", order="summer", product="lagurus", stems=350),
    )
    plan = planned(growing_farm(order_lines=lines))
    (whole,) = (found for found in plan.deliveries(None) if found.order == "summer")
    least = min(outlook.confidence for outlook in plan.outlooks if outlook.line.order == "summer")
    assert whole.joint_confidence < least, "lines of two kinds that do not fail in the same seasons"

    between = (whole.joint_confidence + least) / 2
    promised = tuple(replace(line, promised_confidence=between) for line in lines)
    (said,) = unsure_as_a_whole(planned(growing_farm(order_lines=promised)))
    assert said.startswith("The wedding that leaves on Thu 29 Jul 2027 is") and "as a whole" in said

    below = tuple(replace(line, promised_confidence=whole.joint_confidence) for line in lines)
    assert list(unsure_as_a_whole(planned(growing_farm(order_lines=below)))) == []
