"""Whole small farms for tests of planning: a climate, two kinds, orders, stock."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from haulm.farm.beds import Bed
from haulm.farm.site import FrostDates, MonthDay, MonthlyTemperatures, Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import BedKind, Method
from haulm.planning.growth import Drawing
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from support.farms import batch, customer, farm, order, order_line, site, standing_line, standing_order, variety
from support.forecast_builders import COOL_MARITIME

TODAY = date(2027, 3, 15)
DRAWING = Drawing(seasons=200, seed=5)
TEMPERATURES = MonthlyTemperatures(COOL_MARITIME.min_c, COOL_MARITIME.max_c)
FROST = FrostDates(
    MonthDay(4, 10), MonthDay(4, 28), MonthDay(5, 14), MonthDay(10, 1), MonthDay(10, 16), MonthDay(11, 2)
)


def growing_site(**changes: Any) -> Site:
    """A site that knows its temperatures and frosts."""
    return replace(site(temperatures=TEMPERATURES, frost=FROST), **changes)


def growing_farm(**collections: Any) -> Farm:
    """Two kinds, three batches, a weekly order of one kind and a wedding that takes either."""
    base = farm(
        site=growing_site(),
        varieties=(variety(weeks_to_flower=12.5), variety("cosmos_white", weeks_to_flower=11.0, hold_days=5)),
        beds=(
            Bed("north", "North bed", metres=40.0),
            Bed("south", "South bed", metres=40.0),
            Bed("bench", "Bench", trays=20, kind=BedKind.BENCH),
        ),
        batches=(
            batch("b1", plants=60, bed="north", metres=8.0),
            batch("b2", sow="2027-04-12", plants=60, bed="north", metres=8.0),
            batch("c1", variety="cosmos_white", sow="2027-04-26", method=Method.DIRECT, plants=20, bed="south"),
        ),
        customers=(customer(), customer("ben")),
        standing_orders=(standing_order(first="2027-W27", last="2027-W36"),),
        standing_lines=(standing_line(stems=40),),
        orders=(order("summer", due="2027-07-29", customer="ben"),),
        order_lines=(order_line("summer-1", order="summer", product="cosmos_white", stems=30, spare=4),),
    )
    return replace(base, **collections)


def planned(of: Farm, today: date = TODAY, **drawing: Any) -> Plan:
    """A plan by a planner of its own."""
    return Planner(replace(DRAWING, **drawing)).plan(of, today)


def fills(plan: Plan) -> dict[tuple[str, date, bool], list[int]]:
    """What each line gets in every season."""
    result = plan.result
    return {
        (line.line, line.due, line.is_spare): result.filled(place).tolist() for place, line in enumerate(result.lines)
    }
