"""Random small farms that are short of something: orders, sowings, levels, beds and working days of every sort."""

from __future__ import annotations

import random
from dataclasses import replace

from haulm.farm.beds import Bed
from haulm.farm.costs import CostRules
from haulm.farm.site import ClassLevels
from haulm.farm.snapshot import Farm
from haulm.farm.words import BedKind, Method, Weekday
from support.farms import batch, customer, order, order_line, standing_line, standing_order, variety
from support.planned_farms import growing_farm, growing_site

KINDS = ("lagurus", "cosmos_white", "snapdragon", "sunflower_single", "dahlia")


def farm_with_gaps(dice: random.Random) -> Farm:
    """A farm whose few batches rarely do for what is asked."""
    kinds = dice.sample(KINDS, 3)
    levels = ClassLevels(dice.choice((0.6, 0.8)), dice.choice((0.5, 0.65)), 0.6)
    work = dice.choice((tuple(Weekday)[:6], tuple(Weekday)[:5], (Weekday.TUE, Weekday.SAT), tuple(Weekday)))
    costs = CostRules(plug_kinds=tuple(dice.sample(kinds, 1))) if dice.random() < 0.3 else CostRules()
    metres = dice.choice((6.0, 12.0, 40.0))
    first = dice.randint(26, 34)
    return growing_farm(
        site=replace(growing_site(), levels=levels, work_days=work, costs=costs),
        varieties=tuple(variety(key, hold_days=dice.choice((2, 5))) for key in kinds),
        beds=(
            Bed("north", "North bed", metres=metres),
            Bed("south", "South bed", metres=metres),
            Bed("bench", "Bench", trays=dice.choice((2, 20)), kind=BedKind.BENCH),
        ),
        batches=tuple(_batch(dice, number, kind) for number, kind in enumerate(kinds[:2])),
        customers=(customer(), customer("ben", notice_days=dice.choice((1, 7)))),
        standing_orders=(standing_order(first=f"2027-W{first}", last=f"2027-W{first + dice.randint(0, 5)}"),),
        standing_lines=(standing_line(stems=dice.choice((10, 30, 60)), product=kinds[0]),),
        orders=(order("summer", due=f"2027-0{dice.randint(7, 9)}-1{dice.randint(0, 9)}", customer="ben"),),
        order_lines=(order_line("summer-1", order="summer", product=kinds[1], stems=dice.choice((10, 40))),),
    )


def _batch(dice: random.Random, number: int, kind: str) -> object:
    tuber = kind == "dahlia"
    return batch(
        f"b{number}",
        variety=kind,
        sow=dice.choice(("2027-05-03", "2027-05-17")) if tuber else dice.choice(("2027-03-22", "2027-04-19")),
        method=Method.TUBER if tuber else Method.COVER,
        plants=dice.choice((5, 30)),
        bed=dice.choice(("north", "south")),
    )
