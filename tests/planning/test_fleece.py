"""Fleece before the first frosts: where frost ends what is still asked for, and only there; proved as it is written."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.records import Record
from haulm.farm.site import ClassLevels
from haulm.farm.snapshot import Farm
from haulm.farm.words import BatchStatus, BedKind, Method, RecordKind, WinterCover
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.farms import batch, standing_line, standing_order, variety
from support.planned_farms import DRAWING, growing_farm, growing_site

LATE = date(2027, 9, 6)


def dahlias(first: str = "2027-W40", last: str = "2027-W40", **changes: object) -> Farm:
    """Dahlias that are cut until frost, and an order that asks for them into October."""
    standing = batch(
        "d1",
        variety="dahlia",
        sow="2027-05-03",
        method=Method.TUBER,
        plants=200,
        bed="north",
        status=BatchStatus.PLANTED,
    )
    farm = growing_farm(
        site=growing_site(levels=ClassLevels(0.8, 0.8, 0.8)),
        varieties=(variety("dahlia", hold_days=3),),
        batches=(standing,),
        standing_orders=(standing_order(first=first, last=last),),
        standing_lines=(standing_line(stems=30, product="dahlia"),),
        orders=(),
        order_lines=(),
        records=(Record("r1", date(2027, 8, 2), RecordKind.FIRST_CUT, batch="d1"),),
    )
    return replace(farm, **changes)  # type: ignore[arg-type]


def plan_of(farm: Farm, today: date = LATE) -> Plan:
    return Planner(DRAWING).plan(farm, today)


def fleece_of(plan: Plan) -> list[tuple[Gap, Option]]:
    return [(gap, option) for gap in plan.gaps(None) for option in remedies(plan, gap) if option.kind == "fleece"]


def under(plan: Plan, cover: WinterCover) -> Plan:
    batches: list[Batch] = [replace(one, winter_cover=cover) for one in plan.farm.batches]
    return Planner(DRAWING).plan(with_rows(plan.farm, batches), plan.today)


def test_it_is_offered_where_frost_ends_what_is_asked_and_is_what_the_farm_gives_with_it() -> None:
    plan = plan_of(dahlias())
    ((gap, option),) = fleece_of(plan)
    whole = under(plan, WinterCover.FLEECE)

    assert option.after is not None and option.after.missing < option.before.missing
    found = [whole.outlook_of(short.line) for short in gap.shortfalls]
    assert option.after.sure == pytest.approx([one.confidence for one in found])
    assert option.after.missing == pytest.approx(sum(one.expected_missing for one in found))


def test_it_names_the_batch_and_its_bed_and_lies_before_frost_on_a_working_day() -> None:
    ((_, option),) = fleece_of(plan_of(dahlias()))
    assert "Dahlia of 3 May in North bed" in option.sentence and "d1" not in option.sentence
    assert LATE <= option.decide_by < date(2027, 10, 16) and option.decide_by.isoweekday() != 7
    assert option.act_by == option.decide_by and option.cost_minor


@pytest.mark.parametrize(
    "farm",
    [
        dahlias("2027-W32", "2027-W34"),
        dahlias(batches=tuple(replace(one, winter_cover=WinterCover.FLEECE) for one in dahlias().batches)),
        dahlias(beds=tuple(replace(bed, kind=BedKind.TUNNEL) for bed in dahlias().beds[:2])),
    ],
    ids=["asked in summer", "covered already", "in a tunnel"],
)
def test_it_is_not_offered_where_it_would_change_nothing(farm: Farm) -> None:
    short = replace(farm, standing_lines=tuple(replace(line, stems=900) for line in farm.standing_lines))
    plan = plan_of(short, date(2027, 7, 5))
    assert plan.gaps(None) and fleece_of(plan) == []


def test_more_cover_never_gives_fewer_stems_and_means_nothing_to_kinds_that_winter() -> None:
    plan = plan_of(dahlias())
    covers = (WinterCover.NONE, WinterCover.FLEECE, WinterCover.LOW_COVER)
    missing = [sum(one.expected_missing for one in under(plan, cover).outlooks) for cover in covers]
    assert missing[0] > missing[1] >= missing[2] - 0.05

    spikes = dahlias(
        varieties=(variety("snapdragon"),),
        batches=(batch("s1", variety="snapdragon", sow="2027-03-01", plants=60, bed="north"),),
        standing_lines=(standing_line(stems=30, product="snapdragon"),),
        records=(),
    )
    hardy = plan_of(spikes, date(2027, 3, 15))
    assert under(hardy, WinterCover.FLEECE).outlooks == hardy.outlooks
