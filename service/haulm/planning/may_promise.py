"""May promise, asked of a plan: each number of stems is judged by a trial, the new line in its real place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import Floors
from haulm.advice.may_promise import MayPromise, may_promise
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner


@dataclass(frozen=True, slots=True)
class LineAsked:
    """A line asked on the spot.

    Attributes:
        order: its order, contracted or on hold; new to the farm, or one that asks this line only.
        line: the line; its stems are what is asked for.
        level: the confidence asked, 0-1.
        most: the most stems that may be asked.
        others: further rows that are new to the farm, such as the customer.
    """

    order: Order
    line: OrderLine
    level: float
    most: int
    others: tuple[Row, ...] = ()

    def rows(self, stems: int) -> Iterable[Row]:
        """The rows of so many stems."""
        line = replace(self.line, stems=stems, minimum=min(self.line.minimum, stems), promised_confidence=self.level)
        return (*self.others, self.order, line)


def may_promise_line(planner: Planner, plan: Plan, asked: LineAsked, floors: Floors) -> MayPromise:
    """The stems of a line that would be accepted at its level while one more would not, and what falls at one more.

    Equal to judging each number by a plan of its own.
    """
    one = planner.trial(plan, _with(plan.farm, asked, 1))
    judge = judge_of(planner, plan, asked, floors)
    # What nobody else uses can be had without displacing anybody; a choice is looked at without its limit.
    lines = [replace(line, max_each=line.max_each or asked.most) for line in one.lines_of(asked.order.key)]
    free = max(plan.free_for_lines(lines, asked.level).values(), default=1)
    return may_promise(judge, free=free, most=asked.most, is_choice=asked.line.choice is not None)


def judge_of(planner: Planner, plan: Plan, asked: LineAsked, floors: Floors) -> Callable[[int], Verdict]:
    """The judgement of any number of stems of a line, each by a match of the whole farm."""

    def judge(stems: int) -> Verdict:
        trial = planner.trial(plan, _with(plan.farm, asked, stems))
        promise = NewPromise(asked.order.key, asked.level, trial.joint(asked.order.key))
        return verdict(plan.moment, trial.moment, promise, floors)

    return judge


def _with(farm: Farm, asked: LineAsked, stems: int) -> Farm:
    return with_rows(farm, asked.rows(stems))
