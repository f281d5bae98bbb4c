"""May promise on a farm that grows: the same as judging each number by a plan of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import Floors
from haulm.advice.may_promise import MayPromise
from haulm.farm.edits import with_rows
from haulm.farm.orders import Order
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderKind, OrderStatus
from haulm.planning.may_promise import LineAsked, may_promise_line
from haulm.planning.planner import Planner
from support.farms import order, order_line
from support.planned_farms import DRAWING, TODAY, growing_farm, growing_site, planned

MOST = 2_000
ASKS: dict[str, dict[str, Any]] = {
    "a one-off": {},
    "a wedding": {"kind": OrderKind.WEDDING},
    "a hold": {"status": OrderStatus.ON_HOLD, "hold_until": TODAY},
    "another kind": {"product": "cosmos_white"},
    "a day beyond the year": {"due": "2028-08-31"},
    "nearly sure": {"level": 0.99},
}


def line_asked(*, product: str = "lagurus", due: str = "2027-07-29", level: float = 0.8, **changes: Any) -> LineAsked:
    """A line of a new order of Ben's."""
    facts = {"kind": OrderKind.ONE_OFF, "status": OrderStatus.CONTRACTED, "committed_on": TODAY, **changes}
    made: Order = replace(order("spot", due=due, customer="ben"), **facts)
    return LineAsked(made, order_line("spot-1", order="spot", product=product, stems=1), level, MOST)


def answered(asked: LineAsked, farm: Farm) -> MayPromise:
    """The answer of a planner that knows the farm."""
    planner = Planner(DRAWING)
    return may_promise_line(planner, planner.plan(farm, TODAY), asked, Floors())


def judged(asked: LineAsked, farm: Farm, stems: int) -> Verdict:
    """The judgement of so many stems by two plans of their own."""
    before, after = planned(farm), planned(with_rows(farm, asked.rows(stems)))
    return verdict(before.moment, after.moment, NewPromise("spot", asked.level, after.joint("spot")), Floors())


@pytest.mark.parametrize("name", ASKS)
def test_so_many_pass_and_one_more_does_not(name: str) -> None:
    asked, farm = line_asked(**ASKS[name]), growing_farm()
    found = answered(asked, farm)

    assert found.stems == 0 or judged(asked, farm, found.stems) == found.verdict
    beyond = judged(asked, farm, found.stems + 1)
    assert not beyond.accepted and beyond == found.beyond


def test_some_are_limited_by_themselves_and_some_by_others() -> None:
    farm = growing_farm(site=replace(growing_site(), default_confidence=0.8))
    wedding, hold = answered(line_asked(**ASKS["a wedding"]), farm), answered(line_asked(), farm)

    assert wedding.stems > 0 and hold.stems > 0
    assert wedding.beyond is not None and {fall.what.order for fall in wedding.beyond.falls} == {"weekly"}
    assert wedding.stems >= hold.stems


def test_nothing_may_be_promised_before_anything_flowers() -> None:
    assert answered(line_asked(due="2027-04-01"), growing_farm()).stems == 0
