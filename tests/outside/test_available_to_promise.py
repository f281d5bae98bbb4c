"""Checked against a textbook's netting of a master schedule: what is available to promise, period by period.

The rule (Schoensleben, Integral Logistics Management, ETH Zurich, section 5.3.5): what a period's production brings
(and the opening stock, in the first), less the orders booked until the next production, may be promised. Its running
total, the cumulative available-to-promise, is what can still be promised up to a period; a schedule is feasible only if
it is nowhere below zero (section 5.7.2). Where stems keep for ever and orders come one after another, that running sum
is free to promise: a new order due in a period leaves every later one its stems.

Worked examples, printed numbers: an operations-management textbook's problem with 50 a week and batches of 75 (inputs
as copied in tutorsglobe.com question 51227218 and wizedu.com question 35548); the same with 30, then 40 a week and
batches of 70 (inputs as copied on termpaperswriter.com, answer also from memory); one in batches of 150 (from memory).
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

import numpy as np
import pytest

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import FieldLife
from haulm.farm.words import Form, LineClass, Role
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.free_to_promise import free_to_promise
from haulm.matching.supply import Block, Keeping, Lot, Pool, ProductKeeping, Supply
from support import scale

MONDAY = date(2027, 6, 7)
PRODUCT = Product("statice", Form.DRIED)


@dataclass(frozen=True)
class Schedule:
    """A master schedule: opening stock; by period the forecast, the orders booked, and what may be promised."""

    opening: int
    forecast: tuple[int, ...]
    orders: tuple[int, ...]
    batch: int
    production: tuple[int, ...]
    promise: dict[int, int]

    @property
    def running(self) -> list[int]:
        """The cumulative available-to-promise by period, from the printed numbers."""
        return list(accumulate(self.promise.get(period, 0) for period in range(1, len(self.production) + 1)))


FIFTY_A_WEEK = Schedule(
    opening=0,
    forecast=(50,) * 8,
    orders=(52, 35, 20, 12, 0, 0, 0, 0),
    batch=75,
    production=(75, 75, 75, 0, 75, 75, 0, 75),
    promise={1: 23, 2: 40, 3: 43, 5: 75, 6: 75, 8: 75},
)
THIRTY_THEN_FORTY = Schedule(
    opening=64,
    forecast=(30,) * 4 + (40,) * 4,
    orders=(33, 20, 10, 4, 2, 0, 0, 0),
    batch=70,
    production=(0, 0, 70, 0, 70, 0, 70, 70),
    promise={1: 11, 3: 56, 5: 68, 7: 70, 8: 70},
)
LARGE_BATCHES = Schedule(
    opening=55,
    forecast=(30,) * 4 + (35,) * 4,
    orders=(38, 27, 24, 8, 0, 0, 0, 0),
    batch=150,
    production=(0, 150, 0, 0, 0, 0, 150, 0),
    promise={1: 17, 2: 91, 7: 150},
)
EXAMPLES = pytest.mark.parametrize("schedule", [FIFTY_A_WEEK, THIRTY_THEN_FORTY, LARGE_BATCHES])


def monday(period: int) -> date:
    """The Monday of a period, the first one being 1."""
    return MONDAY + timedelta(weeks=period - 1)


def matched(opening: int, production: tuple[int, ...], orders: tuple[int, ...]) -> MatchResult:
    """The schedule as a farm: dried stems that keep for ever, an order each week, booked one after another."""
    stems = [opening, *production]
    lots = tuple(Lot(monday(max(period, 1)), key=str(period)) for period in range(len(stems)))
    pool = Pool(PRODUCT, 0, (Block(lots, np.array(stems, np.int32)[:, np.newaxis]),))
    lines = [
        DatedLine(f"w{n}", f"w{n}", "shop", monday(n), wanted, LineClass.ONE_OFF, 0, MONDAY + timedelta(n), PRODUCT)
        for n, wanted in enumerate(orders, 1)
        if wanted
    ]
    keeping = Keeping(frozenset({1}), MONDAY, 0, {PRODUCT: ProductKeeping(7, FieldLife(0), Role.ACCENT, "blue")})
    return match(lines, Supply((pool,), 1, np.ones(1)), keeping)


@EXAMPLES
def test_the_printed_production_follows_from_the_printed_rule(schedule: Schedule) -> None:
    """A batch in every week that would otherwise end below nought, the larger of forecast and orders leaving."""
    stock = schedule.opening
    for forecast, orders, made in zip(schedule.forecast, schedule.orders, schedule.production, strict=True):
        left = stock - max(forecast, orders)
        assert made == (schedule.batch if left < 0 else 0)
        stock = left + made


@EXAMPLES
def test_free_to_promise_is_the_textbooks_running_total(schedule: Schedule) -> None:
    result = matched(schedule.opening, schedule.production, schedule.orders)

    found = [free_to_promise(result, PRODUCT, monday(period), 0.9) for period in range(1, 9)]

    assert found == schedule.running


@EXAMPLES
def test_what_each_period_adds_is_what_the_textbook_prints(schedule: Schedule) -> None:
    result = matched(schedule.opening, schedule.production, schedule.orders)
    free = [0, *(free_to_promise(result, PRODUCT, monday(period), 0.9) for period in range(1, 9))]

    adds = {period: free[period] - free[period - 1] for period in range(1, 9)}

    assert {period: stems for period, stems in adds.items() if stems} == schedule.promise


@pytest.mark.parametrize("seed", range(scale.count(usual=100, large=2000)))
def test_all_orders_are_filled_only_where_the_running_total_is_nowhere_below_nought(seed: int) -> None:
    dice = random.Random(seed)
    opening = dice.randrange(0, 30)
    production = tuple(dice.choice((0, 0, 20, 40)) for _ in range(8))
    orders = tuple(dice.choice((0, 10, 15, 25)) for _ in range(8))
    running = [opening + total for total in accumulate(p - o for p, o in zip(production, orders, strict=True))]

    result = matched(opening, production, orders)

    filled = all(int(result.filled(place)[0]) == line.stems for place, line in enumerate(result.lines))
    assert filled is (min(running) >= 0)
