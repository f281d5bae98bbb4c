"""Sowings that are advised, applied as they are said, on their last day, on random farms and the demo."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

import pytest

from haulm.advice.floors import kept_level
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.words import Method
from haulm.planning.across_gaps import beyond
from haulm.planning.growth import Drawing
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.demo_farms import DEMO_DRAWING, demo_farm
from support.farms_with_gaps import farm_with_gaps
from support.planned_farms import TODAY
from support.scale import count, is_large

FARMS = range(2000, 2000 + count(4, 200))
SEASONS = Drawing(seasons=count(100, 200), seed=11)
_SAME = 1e-9
_NOTICED = 0.001


@dataclass(frozen=True)
class Applied:
    """A sowing after it was made: what it is, and what went otherwise than was said."""

    name: str
    is_as_said: bool
    closes_on_its_last_day: bool
    lowered_unsaid: tuple[str, ...]
    below_their_floor: tuple[str, ...]


@pytest.fixture(scope="module")
def applied() -> list[Applied]:
    """The first sowing of each gap that closes it, of the farms and in the long run of the demo."""
    return list(all_applied())


def all_applied() -> Iterator[Applied]:
    for seed in FARMS:
        planner = Planner(SEASONS)
        yield from _applied(planner, planner.plan(farm_with_gaps(random.Random(seed)), TODAY), f"farm {seed}")
    if is_large():
        planner = Planner(DEMO_DRAWING)
        for day in (TODAY, date(2027, 5, 1)):
            yield from _applied(planner, planner.plan(demo_farm(), day), f"demo {day}")


def _applied(planner: Planner, plan: Plan, name: str) -> Iterator[Applied]:
    for gap in plan.gaps(None):
        best = next((option for option in remedies(plan, gap) if option.batches and option.closes), None)
        if best is not None:
            yield _after(planner, plan, gap, best, f"{name}, {gap.key}")


def _after(planner: Planner, plan: Plan, gap: Gap, best: Option, name: str) -> Applied:
    assert best.after is not None and best.sow_by is not None
    as_said = planner.trial(plan, with_rows(plan.farm, best.batches))
    sure = [as_said.outlook_of(short.line).confidence for short in gap.shortfalls]
    late = planner.trial(plan, with_rows(plan.farm, _begun_on(best.batches, best.sow_by)))
    said = {(one.line.line, one.line.due): one.after for one in beyond(plan, gap, best.batches).lowered}
    lower = [
        (found.line, found.confidence, as_said.outlook_of(found.line).confidence)
        for found in plan.outlooks
        if not found.line.is_spare and as_said.outlook_of(found.line).confidence < found.confidence - _NOTICED
    ]
    return Applied(
        name,
        all(abs(a - b) <= _SAME for a, b in zip(sure, best.after.sure, strict=True)),
        all(late.outlook_of(short.line).confidence >= short.level - _SAME for short in gap.shortfalls),
        tuple(line.line for line, _, now in lower if abs(said.get((line.line, line.due), 2.0) - now) > _NOTICED),
        tuple(line.line for line, before, now in lower if now < kept_level(line, before) - 0.01),
    )


def _begun_on(batches: tuple[Batch, ...], day: date) -> tuple[Batch, ...]:
    """Batches as they are, the first of them begun on a day."""
    later = day - min(filter(None, (batch.sow_date or batch.plant_out_date for batch in batches)))
    return tuple(
        replace(one, plant_out_date=one.plant_out_date + later)
        if one.method is Method.PLUGS and one.plant_out_date is not None
        else replace(one, sow_date=None if one.sow_date is None else one.sow_date + later)
        for one in batches
    )


def test_each_is_as_sure_as_it_was_said(applied: list[Applied]) -> None:
    """Checked against the whole farm matched again with its batches in the plan."""
    assert len(applied) >= len(FARMS) / 2
    assert [one for one in applied if not one.is_as_said] == []


def test_each_still_closes_its_gap_at_its_level_when_it_is_begun_on_the_last_day_said(applied: list[Applied]) -> None:
    assert [one for one in applied if not one.closes_on_its_last_day] == []


def test_no_earlier_promise_falls_lower_than_was_said_or_a_point_below_what_it_is_kept_at(
    applied: list[Applied],
) -> None:
    assert [one for one in applied if one.lowered_unsaid or one.below_their_floor] == []
