"""The two nested parts of an order as lines, and the farm with them: what stands today, and that with what is sown."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from haulm.advice.acceptance import NewPromise, Verdict
from haulm.advice.quote_places import Counts
from haulm.farm.batches import Batch
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import judged
from haulm.jobs.quotes.answer import QuoteAsked, drafted, new_customer, of_size
from haulm.jobs.quotes.draft import DraftLine, QuoteDraft
from haulm.planning.plan import Plan

LinesOf = Callable[[Counts], tuple[DraftLine, ...]]
"""The lines of so many of each part of what is asked."""


@dataclass(frozen=True, slots=True)
class TwoParts:
    """How many of what is asked belong to each part of an order; `outer` is what the larger part has more."""

    inner: Counts
    outer: Counts

    @property
    def larger(self) -> Counts:
        """All of the larger part."""
        return tuple(map(sum, zip(self.inner, self.outer, strict=True)))


def draft_of_parts(plan: Plan, asked: QuoteAsked, order: str, parts: TwoParts) -> QuoteDraft:
    """The lines of both parts with the pieces they are for."""
    whole = drafted(plan, of_size(asked, parts.larger), order)
    return replace(whole, lines=_lines_of_parts(parts, order, partial(lines_of_size, plan, asked, order)))


def lines_of_parts(parts: TwoParts, order: str, lines_of: LinesOf) -> tuple[OrderLine, ...]:
    """The lines of both parts alone, from those of each size."""
    return tuple(one.line for one in _lines_of_parts(parts, order, lines_of))


def lines_of_size(plan: Plan, asked: QuoteAsked, order: str, counts: Counts) -> tuple[DraftLine, ...]:
    """The lines of so many of each part of what is asked."""
    return drafted(plan, of_size(asked, counts), order).lines if any(counts) else ()


def farm_with(farm: Farm, order: Order, lines: Sequence[OrderLine], batches: Iterable[Batch] = ()) -> Farm:
    """The farm with an order, its lines in the place of those it had, and batches."""
    others = tuple(line for line in farm.order_lines if line.order != order.key)
    without = replace(farm, order_lines=others)
    rows: list[Row] = [*new_customer(farm, order), order, *lines, *batches]
    return with_rows(without, rows)


def promised_at(lines: Iterable[OrderLine], level: float) -> list[OrderLine]:
    """Lines promised at a level."""
    return [replace(line, promised_confidence=level) for line in lines]


def verdict_of(
    desk: Desk, plan: Plan, trial: Plan, order: Order, level: float, *, anew: Iterable[OrderLine] | None = None
) -> Verdict:
    """The judgement of an order in a trial; some of its lines are promised anew, or all of them."""
    keys = None if anew is None else frozenset((line.key, order.due_date) for line in anew)
    return judged(desk, plan, trial, NewPromise(order.key, level, trial.joint(order.key), keys))


def _lines_of_parts(parts: TwoParts, order: str, lines_of: LinesOf) -> tuple[DraftLine, ...]:
    """Those that stand today rank first, so that what is sown for never takes from them."""
    outer = [_renamed(line, order, number) for number, line in enumerate(lines_of(parts.outer), 1)]
    return (
        *(_of_part(line, OrderPart.STANDS) for line in lines_of(parts.inner)),
        *(_of_part(line, OrderPart.SOWN) for line in outer),
    )


def _renamed(line: DraftLine, order: str, number: int) -> DraftLine:
    """Keys rank by code point: letters after the figures of the lines that stand today."""
    return replace(line, line=replace(line.line, key=f"{order}-s{number:02d}"))


def _of_part(line: DraftLine, part: OrderPart) -> DraftLine:
    return replace(line, line=replace(line.line, part=part))
