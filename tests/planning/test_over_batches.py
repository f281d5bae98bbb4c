"""A batch that its own row says is lost or finished gives nothing more, whatever was recorded of it before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulm.farm.edits import with_rows
from haulm.farm.records import Record
from haulm.farm.words import BatchStatus, RecordKind
from haulm.planning.planner import Planner
from support.planned_farms import DRAWING, TODAY, growing_farm

RECORDED = (
    Record("r1", TODAY, RecordKind.SOWN, batch="b1", count=60),
    Record("r2", TODAY, RecordKind.PLANTED, batch="b1", count=55),
)


@pytest.mark.parametrize("records", [(), RECORDED[:1], RECORDED])
@pytest.mark.parametrize("status", [BatchStatus.LOST, BatchStatus.FINISHED])
def test_lines_are_as_sure_as_without_the_batch(status: BatchStatus, records: tuple[Record, ...]) -> None:
    farm = growing_farm(records=records)
    planner = Planner(DRAWING)
    plan = planner.plan(farm, TODAY)
    over = planner.trial(plan, with_rows(farm, [replace(farm.batches[0], status=status)]))
    without = planner.trial(plan, replace(farm, records=(), batches=farm.batches[1:]))

    missing = {outlook.line: outlook.expected_missing for outlook in without.outlooks}
    assert {outlook.line: outlook.expected_missing for outlook in over.outlooks} == pytest.approx(missing)
    assert any(abs(missing[outlook.line] - outlook.expected_missing) > 1 for outlook in plan.outlooks)
