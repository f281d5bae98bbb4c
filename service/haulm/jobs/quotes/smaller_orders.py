"""Smaller sizes of an order that is refused: what may be made smaller, and the judgement of each size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from haulm.advice.acceptance import NewPromise, Verdict
from haulm.advice.quote_places import Counts
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import judged
from haulm.jobs.quotes.answer import QuoteAsked, asked_again, drafted, new_customer, of_size, parts_of
from haulm.jobs.quotes.promise_refused import Sizes
from haulm.jobs.quotes.size import line_part
from haulm.jobs.quotes.version import QuoteVersion
from haulm.planning.plan import Plan


def sizes_of_quote(
    desk: Desk, plan: Plan, trial: Plan, order: Order, level: float, version: QuoteVersion | None
) -> Sizes:
    """The sizes of a quote that is held or contracted: by its pieces while its lines are still made from them.

    Args:
        desk: the desk.
        plan: the farm as it stands.
        trial: the farm with the order in its place.
        order: the order as it would be.
        level: the level of the promise, 0-1.
        version: how it was last quoted, or None.
    """
    if version is not None and version.pieces:
        asked = asked_again(version)
        draft = drafted(plan, asked, order.key)
        if _stems(draft.order_lines) == _stems(_lines_of(trial.farm, order)):
            return sizes_of_asked(desk, plan, trial, order, replace(asked, confidence=level))
    return sizes_of_lines(desk, plan, trial, order, level)


def sizes_of_asked(desk: Desk, plan: Plan, trial: Plan, order: Order, asked: QuoteAsked) -> Sizes:
    """The sizes of an order as it is asked for now: fewer of its pieces, or stems of its lines."""
    level = asked.level(plan.farm)

    def lines_of_size(counts: Counts) -> Sequence[OrderLine]:
        return drafted(plan, of_size(asked, counts), order.key).order_lines

    parts = tuple(parts_of(asked, trial, order, drafted(plan, asked, order.key)))
    return Sizes(parts, _judge(desk, plan, order, level, lines_of_size))


def sizes_of_lines(desk: Desk, plan: Plan, trial: Plan, order: Order, level: float) -> Sizes:
    """The sizes of an order by the stems of each of its lines."""
    lines = _lines_of(trial.farm, order)

    def lines_of_size(counts: Counts) -> Sequence[OrderLine]:
        sized = zip(lines, counts, strict=True)
        return [replace(line, stems=n, minimum=min(line.minimum, n)) for line, n in sized if n]

    sure = {one.line.line: one.confidence for one in trial.outlooks if not one.line.is_spare}
    parts = tuple(line_part(line, trial.crops, sure.get(line.key, 1.0)) for line in lines)
    return Sizes(parts, _judge(desk, plan, order, level, lines_of_size))


def _judge(
    desk: Desk, plan: Plan, order: Order, level: float, lines_of_size: Callable[[Counts], Sequence[OrderLine]]
) -> Callable[[Counts], Verdict]:
    without = _without(plan.farm, order)

    def judge(counts: Counts) -> Verdict:
        lines = [replace(line, promised_confidence=level) for line in lines_of_size(counts)]
        rows: list[Row] = [*new_customer(without, order), order, *lines]
        trial = desk.planner.trial(plan, with_rows(without, rows))
        return judged(desk, plan, trial, NewPromise(order.key, level, trial.joint(order.key)))

    return judge


def _lines_of(farm: Farm, order: Order) -> Sequence[OrderLine]:
    return [line for line in farm.order_lines if line.order == order.key]


def _stems(lines: Sequence[OrderLine]) -> dict[str, int]:
    return {line.key: line.stems for line in lines}


def _without(farm: Farm, order: Order) -> Farm:
    """The farm without the lines of an order."""
    return replace(farm, order_lines=tuple(line for line in farm.order_lines if line.order != order.key))
