"""Why a line is no surer on farms that grow: plants lost, lots that are dead and frost, each undone by its own."""

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from haulm.farm.batches import Batch
from haulm.farm.words import BatchStatus, Method, RecordKind
from haulm.matching.reading.causes import Cause, CauseShare
from haulm.matching.reading.confidence import confidence
from haulm.planning.plan import Plan
from haulm.planning.why_unsure import faces_of, lines_of_gap, unsure
from support.demo_farms import demo_plan
from support.farms import batch, order, order_line, record
from support.planned_farms import growing_farm, planned


def _one_line(batches: tuple[Batch, ...], *, due: str, product: str = "lagurus", stems: int = 20, **more: Any) -> Plan:
    """A farm of some batches and one order of one line."""
    lines = (order_line("late-1", order="late", product=product, stems=stems),)
    orders = (order("late", due=due, customer="ben"),)
    empty = {"standing_orders": (), "standing_lines": ()}
    return planned(growing_farm(batches=batches, orders=orders, order_lines=lines, **empty, **more))


def _causes(plan: Plan) -> dict[Cause, CauseShare]:
    return {one.cause: one for one in unsure(plan, (plan.result.lines[0],)).causes}


def test_a_farm_that_has_sown_nothing_of_a_kind_has_nothing_sown_for_it() -> None:
    plan = _one_line((batch("b1", plants=60),), due="2027-07-29", product="cosmos_white")

    assert list(_causes(plan)) == [Cause.NOTHING_SOWN]


def test_a_batch_that_is_lost_is_the_cause_wherever_it_would_have_filled_the_line() -> None:
    lost = batch("b1", plants=60, status=BatchStatus.LOST)
    standing = _one_line((replace(lost, status=BatchStatus.PLANNED),), due="2027-07-29")
    found = _causes(_one_line((lost,), due="2027-07-29"))

    would = confidence(standing.result, 0)
    assert would > 0.5
    assert found[Cause.LOST].share >= would - 0.05
    assert Cause.NOTHING_SOWN not in found


def test_plants_that_a_record_says_are_lost_are_lost() -> None:
    gone = record(kind=RecordKind.LOST, day="2027-03-14")
    plan = _one_line(
        (batch("b1", sow="2027-03-01", plants=60, status=BatchStatus.SOWN),), due="2027-07-29", records=(gone,)
    )

    assert confidence(plan.result, 0) == 0
    assert _causes(plan)[Cause.LOST].share > 0.5


def test_an_order_after_the_frost_is_taken_by_the_frost() -> None:
    found = _causes(
        _one_line(
            (batch("b1", variety="cosmos_white", sow="2027-07-12", plants=60),),
            due="2027-10-28",
            product="cosmos_white",
        )
    )

    assert found[Cause.FROST].share > 0.3


def test_an_order_before_the_first_stem_says_how_late_it_comes() -> None:
    found = _causes(_one_line((batch("b1", sow="2027-04-26", plants=60),), due="2027-07-08"))

    assert found[Cause.LATE].share > 0.6
    assert 0 < found[Cause.LATE].days <= 28


def test_seed_that_does_not_come_up_is_told_where_the_lot_may_be_dead() -> None:
    sown = batch("b1", sow="2027-04-05", plants=120, method=Method.COVER)
    plan = _one_line((sown,), due="2027-08-05")
    counted = record(kind=RecordKind.GERMINATED, day="2027-03-15", count=120, final=True)
    seen = _one_line(
        (replace(sown, sow_date=date(2027, 3, 1), status=BatchStatus.SOWN),), due="2027-08-05", records=(counted,)
    )

    assert Cause.DEAD_LOT not in _causes(seen)
    assert unsure(plan, (plan.result.lines[0],)).faces.all < 1


def test_faces_and_confidence_are_one_figure() -> None:
    plan = demo_plan()
    for outlook in plan.outlooks[:60]:
        assert faces_of(plan, (outlook.line,)).all == pytest.approx(outlook.confidence, abs=1e-9)
    for found in plan.deliveries(None)[:20]:
        lines = [line for line in plan.lines_of(found.order) if line.due == found.due]
        assert faces_of(plan, lines).all == pytest.approx(found.joint_confidence, abs=1e-9)


def test_every_short_line_of_the_demo_has_causes_that_add_up_and_no_filled_one_has_any() -> None:
    plan = demo_plan()
    found = {line: unsure(plan, (line,)) for gap in plan.gaps(None)[:8] for line in lines_of_gap(gap)}
    sure = next(outlook.line for outlook in plan.outlooks if outlook.confidence == 1.0)

    assert len(found) > 6
    for told in found.values():
        assert sum(one.share for one in told.causes) == pytest.approx(1, abs=1e-9)
    assert unsure(plan, (sure,)).causes == ()


def test_looking_changes_no_answer() -> None:
    plan = demo_plan()
    before = [outlook.confidence for outlook in plan.outlooks]
    stems = [pool.blocks[0].stems.copy() for pool in plan.result.supply.pools]
    unsure(plan, lines_of_gap(plan.gaps(None)[0]))

    assert [outlook.confidence for outlook in plan.outlooks] == before
    assert all(np.array_equal(a, pool.blocks[0].stems) for a, pool in zip(stems, plan.result.supply.pools, strict=True))
