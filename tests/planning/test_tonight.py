"""Before frost, heat or hail: what is cut serves whom it can, what is spared stays, and nobody is better off uncut."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.farm.beds import Spray
from haulm.farm.snapshot import Farm
from haulm.farm.sprays import closed_beds
from haulm.farm.words import BatchStatus, BedKind, Method, Threat
from haulm.planning.plan import Plan
from haulm.planning.tonight import Tonight, tonight
from support.farms import batch, known_stems, order, order_line, variety
from support.planned_farms import growing_farm, planned

SUMMER = date(2027, 8, 2)


def summer(**changes: object) -> Farm:
    """The growing farm in August, everything planted out."""
    base = growing_farm()
    batches = tuple(replace(one, status=BatchStatus.PLANTED) for one in base.batches)
    return replace(base, **{"batches": batches, **changes})


def plan_of(farm: Farm) -> Plan:
    """Its plan in August."""
    return planned(farm, SUMMER)


def beds_of(found: Tonight) -> set[str]:
    return {batch.bed or "" for row in found.cut for batch in row.batches}


@pytest.mark.parametrize("threat", Threat)
def test_what_is_cut_never_leaves_a_promise_less_sure_than_leaving_it_to_stand(threat: Threat) -> None:
    found = tonight(plan_of(summer()), threat, min_c=-9.0)

    assert found.cut and (found.rescued or found.struck)
    assert all(one.cut >= one.uncut for one in (*found.rescued, *found.struck))
    assert all(one.uncut < one.now for one in (*found.rescued, *found.struck))


def test_after_the_frost_nothing_more_comes_and_after_hail_the_plants_go_on() -> None:
    plan = plan_of(summer())
    late = max(one.line.due for one in plan.outlooks if not one.line.is_spare)
    frost, hail = (tonight(plan, threat, min_c=-9.0) for threat in (Threat.FROST, Threat.HAIL))

    (last,) = [one for one in frost.struck if one.line.due == late]
    assert last.now > 0 and last.uncut == last.cut == 0.0
    assert late not in {one.line.due for one in hail.struck}


def test_stems_that_are_promised_are_no_more_than_stand_and_keep_long_enough() -> None:
    plan = plan_of(summer())
    for row in tonight(plan, Threat.HEAT, min_c=0.0).cut:
        assert row.promised <= row.stands[2]
        assert row.keeps_until == SUMMER + timedelta(days=row.crop.hold_days)
        assert all(SUMMER < line.due <= row.keeps_until for line, _ in row.for_whom)


def test_a_tunnel_keeps_hail_out_and_no_heat() -> None:
    beds = tuple(replace(bed, kind=BedKind.TUNNEL) if bed.key == "south" else bed for bed in growing_farm().beds)
    plan = plan_of(summer(beds=beds))

    assert beds_of(tonight(plan, Threat.HAIL, min_c=0.0)) == {"north"}
    assert beds_of(tonight(plan, Threat.HEAT, min_c=0.0)) == {"north", "south"}


def test_a_bed_inside_a_sprays_waiting_time_is_neither_cut_nor_covered() -> None:
    farm = summer(sprays=(Spray("s1", "north", SUMMER - timedelta(days=9), SUMMER + timedelta(days=2)),))
    plan = plan_of(farm)

    assert closed_beds(farm, SUMMER)
    frost = tonight(plan, Threat.FROST, min_c=plan.crops["lagurus"].kill_c - 0.5)
    assert "north" not in {one.batch.bed for one in frost.cover}
    assert beds_of(tonight(plan, Threat.HAIL, min_c=0.0)) == {"south"}


def test_counted_stems_are_cut_with_the_others_and_those_in_the_store_stay() -> None:
    stock = (
        known_stems("field", product="cosmos_white", ready="2027-08-02", stems=500),
        known_stems("store", product="cosmos_white", ready="2027-08-02", stems=70, cut_date=SUMMER),
    )
    plan = plan_of(summer(known_stems=stock))
    without = tonight(plan_of(summer(known_stems=stock[1:])), Threat.HAIL, min_c=0.0)
    found = tonight(plan, Threat.HAIL, min_c=0.0)

    def cosmos(of: Tonight) -> int:
        return next(row.stands[1] for row in of.cut if row.crop.key == "cosmos_white")

    assert cosmos(found) == cosmos(without) + 500


def test_a_frost_that_kills_nothing_asks_for_nothing() -> None:
    found = tonight(plan_of(summer()), Threat.FROST, min_c=2.0)

    assert not (found.cut or found.cover or found.lost or found.struck or found.rescued)


def test_fleece_is_told_for_what_it_saves() -> None:
    plan = plan_of(summer())
    kill = plan.crops["cosmos_white"].kill_c
    light, hard = (tonight(plan, Threat.FROST, min_c=kill - degrees) for degrees in (0.5, 5.0))

    assert "cosmos_white" in {one.crop.key for one in light.cover}
    assert "cosmos_white" not in {one.crop.key for one in hard.cover}


def test_a_perennial_that_loses_this_years_stems_to_frost_gives_those_of_the_next() -> None:
    peonies = batch("p1", variety="peony", sow_date=None, method=Method.ESTABLISHED, plants=80, bed="north", metres=8.0)
    years = (2027, 2028)
    farm = growing_farm(
        varieties=(*growing_farm().varieties, variety("peony", kill_c=-4.0)),
        batches=(replace(peonies, status=BatchStatus.PLANTED),),
        orders=tuple(order(f"june-{year}", due=f"{year}-06-22") for year in years),
        order_lines=tuple(
            order_line(f"line-{year}", order=f"june-{year}", product="peony", stems=20) for year in years
        ),
        standing_orders=(),
        standing_lines=(),
    )
    plan = planned(farm, date(2027, 6, 10))
    found = tonight(plan, Threat.FROST, min_c=plan.crops["peony"].kill_c - 0.5)

    assert all(one.confidence > 0.5 for one in plan.outlooks if not one.line.is_spare)
    assert [(one.line.due.year, one.uncut) for one in (*found.struck, *found.rescued)] == [(2027, 0.0)]
