"""May promise, asked of a plan: each number of stems is judged by a trial, the new line in its real place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from haulm.advice.acceptance import Levels, Verdict, verdict
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
        order: its order, contracted or on hold, new to the farm.
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
        return (*self.others, self.order, replace(self.line, stems=stems, promised_confidence=self.level))


def may_promise_line(planner: Planner, plan: Plan, asked: LineAsked) -> MayPromise:
    """The most stems of a line that would be accepted at its level, and whose confidence falls at one more.

    Equal to judging each number by a plan of its own.
    """
    one = planner.trial(plan, _with(plan.farm, asked, 1))
    levels = Levels(asked=asked.level, usual=plan.farm.site.level_of(asked.order.kind.line_class))

    def judge(stems: int) -> Verdict:
        trial = one if stems == 1 else planner.trial(one, _with(plan.farm, asked, stems))
        joint = trial.joint(asked.order.key)
        return verdict(plan.outlooks, trial.outlooks, asked.order.key, joint, levels=levels)

    # What nobody else uses can be had without displacing anybody; a choice is looked at without its limit.
    lines = [replace(line, max_each=line.max_each or asked.most) for line in one.lines_of(asked.order.key)]
    guess = max(plan.free_for_lines(lines, asked.level).values(), default=1)
    return may_promise(judge, guess=guess, most=asked.most)


def _with(farm: Farm, asked: LineAsked, stems: int) -> Farm:
    return with_rows(farm, asked.rows(stems))
