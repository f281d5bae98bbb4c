"""What an option is worth, against the newsvendor: how much more is worth having, of what may not be wanted."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from haulm.advice.options.option import Proof
from haulm.advice.options.worth import Gains
from haulm.matching.reading.confidence import mean_of
from haulm.matching.reading.free_to_promise import sure_stems

SEASONS = 20_000
SCORES = np.array([NormalDist().inv_cdf((place + 0.5) / SEASONS) for place in range(SEASONS)])
WEIGHTS = np.full(SEASONS, 1 / SEASONS)

HAMMER = {"price": 190.0, "cost": 110.0, "left": 90.0, "mean": 3192.0, "sd": 1181.0}
JOURNAL = {"price": 0.75, "cost": 0.25, "left": 0.10, "mean": 11.73, "sd": 4.74}


def profit(case: dict[str, float], quantity: int) -> float:
    """Profit of a quantity by what an option of as many stems gains and leaves over, in the case's own money."""
    wanted = np.maximum(case["mean"] + case["sd"] * SCORES, 0)
    before = Proof((0.0,), float(wanted @ WEIGHTS))
    after = Proof((0.0,), float(np.maximum(wanted - quantity, 0) @ WEIGHTS))
    worth = Gains((round(case["mean"]),), (case["price"],), before).worth(after, gives=float(quantity))
    left = quantity - worth.gained_stems
    assert worth.surplus_stems == round(left)
    return case["price"] * worth.gained_stems + case["left"] * left - case["cost"] * quantity


@pytest.mark.parametrize(
    ("case", "published", "within"),
    [(HAMMER, 4196, 15), (JOURNAL, 15, 0)],
    ids=["a wetsuit maker", "a newsstand"],
)
def test_what_is_worth_having_is_what_the_critical_ratio_says(
    case: dict[str, float], published: int, within: int
) -> None:
    """Checked against two worked examples (from memory), their tables rounded to two decimals.

    Cachon and Terwiesch, Matching Supply with Demand, the Hammer 3/2: demand of 3,192 with sd 1,181, sold at 190,
    bought at 110, left over at 90: order 4,196. Nahmias, Production and Operations Analysis, the newsstand: 11.73 with
    sd 4.74, sold at 0.75, bought at 0.25, left over at 0.10: order 15.
    """
    sizes = range(round(case["mean"] + 0.4 * case["sd"]), round(case["mean"] + 1.3 * case["sd"]))
    best = max(sizes, key=lambda quantity: profit(case, quantity))
    assert abs(best - published) <= within
    ratio = (case["price"] - case["cost"]) / (case["price"] - case["left"])
    assert best == pytest.approx(case["mean"] + case["sd"] * NormalDist().inv_cdf(ratio), abs=1)


def test_the_profit_of_what_is_ordered_is_the_published_one() -> None:
    """Checked against Cachon and Terwiesch (from memory): 4,196 wetsuits are worth 222,280 on average, within 0.2 %."""
    assert profit(HAMMER, 4196) == pytest.approx(222_280, rel=0.002)


@pytest.mark.parametrize(("level", "score"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.645), (0.975, 1.96), (0.99, 2.33)])
def test_stems_that_are_sure_are_the_mean_less_the_published_safety(level: float, score: float) -> None:
    """Checked against the safety factors of a normal demand by cycle service level, as every textbook prints them."""
    stems = np.rint(100_000 + 10_000 * SCORES).astype(np.int32)[np.newaxis, :]
    sure = int(sure_stems(stems, WEIGHTS, level)[0])
    assert (100_000 - sure) / 10_000 == pytest.approx(score, abs=0.006)


@pytest.mark.parametrize(
    ("score", "loss"), [(-1.0, 1.0833), (0.0, 0.3989), (0.5, 0.1978), (1.0, 0.0833), (1.5, 0.0293), (2.0, 0.0085)]
)
def test_stems_that_lack_on_average_are_the_published_loss(score: float, loss: float) -> None:
    """Checked against the table of the standard normal loss function (unit normal loss integral), four decimals."""
    missing = np.rint(np.maximum(SCORES - score, 0) * 10_000).astype(np.int32)
    assert mean_of(missing, WEIGHTS) / 10_000 == pytest.approx(loss, abs=0.0005)
