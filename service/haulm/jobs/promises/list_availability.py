"""Availability: by product and week, what becomes usable, what is promised, and what is free to promise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from haulm.demand.standing import delivery_days
from haulm.errors import NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Form, LineClass, Weekday
from haulm.jobs.desk.asked_level import check_level
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.matching.reading.free_to_promise import free_tables, hope_level
from haulm.matching.supply import IntArray
from haulm.matching.windows import Acceptance, Window
from haulm.planning.free_by_week import FreeAsked, middle_and_ends
from haulm.planning.plan import Plan

MOST_WEEKS = 104
_NOT_NAMED = (LineClass.SPARE, LineClass.STALL)
"""Classes that are promised to nobody by name."""


@dataclass(frozen=True, slots=True)
class AvailabilityAsked:
    """What is asked: so many weeks from a week on, at a confidence, of one product or all, and when it leaves.

    `weekday` None stands for the best of the farm's delivery days, each week and product by itself.
    """

    first: Week
    weeks: int
    confidence: float
    weekday: Weekday | None = None
    product: Product | None = None

    @property
    def levels(self) -> tuple[float, float]:
        """The level of what is promised, and of what one may hope to offer, 0-1."""
        return (self.confidence, hope_level(self.confidence))


@dataclass(frozen=True, slots=True)
class AvailabilityRow:
    """One product in one week; dried stock is one row without a week.

    Attributes:
        ready: the 10th, 50th and 90th percentile of stems by the week of their first usable due date.
        committed: stems asked by named lines of this product due in the week.
        free_to_promise: the most a new line due on the asked weekday, or the best of the farm's delivery days, could be
            given, nobody losing a stem.
        hope_to_offer: the same at the level of hope beside it; no less, and never added to it.
        shared: whether some of these stems are also on offer in another of the weeks.
    """

    product: Product
    week: Week | None
    ready: tuple[int, int, int]
    committed: int
    free_to_promise: int
    hope_to_offer: int
    shared: bool


def list_availability(desk: Desk, asked: AvailabilityAsked) -> tuple[AvailabilityRow, ...]:
    """The rows of all products that have stems or orders, by product and week.

    Raises:
        NotAccepted, NotFound: the weeks are too many, the confidence is no share, or the product is not grown here.
    """
    if not 1 <= asked.weeks <= MOST_WEEKS:
        raise NotAccepted(where="weeks", found=str(asked.weeks), accepted=_("1 to {most}").format(most=MOST_WEEKS))
    check_level(asked.confidence)
    plan = desk.plan()
    if asked.product is not None and asked.product.variety not in plan.crops:
        raise NotFound(kind=_("variety"), key=asked.product.variety)
    weeks = [asked.first.plus(n) for n in range(asked.weeks)]
    days = delivery_days(plan.farm) if asked.weekday is None else (asked.weekday,)
    named = _committed(plan)
    rows: list[AvailabilityRow] = []
    for product in _products(plan) if asked.product is None else [asked.product]:
        rows += (
            _dried(plan, product, asked, weeks, days, named)
            if product.form is Form.DRIED
            else _fresh(plan, product, asked, weeks, days, named)
        )
    return tuple(rows)


def _products(plan: Plan) -> list[Product]:
    asked = {line.product for line in plan.result.lines if line.product is not None}
    return sorted({*plan.result.supply.by_product, *asked})


def _fresh(
    plan: Plan,
    product: Product,
    asked: AvailabilityAsked,
    weeks: Sequence[Week],
    days: Sequence[Weekday],
    named: Mapping[tuple[Product, Week], int],
) -> list[AvailabilityRow]:
    found = plan.free_by_week(product, FreeAsked(tuple(weeks), tuple(days), asked.levels))
    return [
        AvailabilityRow(product, week, one.ready, named.get((product, week), 0), one.free, one.hope, one.shared)
        for week, one in zip(weeks, found, strict=True)
    ]


def _dried(
    plan: Plan,
    product: Product,
    asked: AvailabilityAsked,
    weeks: Sequence[Week],
    days: Sequence[Weekday],
    named: Mapping[tuple[Product, Week], int],
) -> list[AvailabilityRow]:
    """One row for the stock: what is usable on the first of the asked due dates that has not passed."""
    due = max(weeks[0].day(days[0]), plan.today)
    total: IntArray = np.zeros(plan.result.supply.seasons, np.int32)
    acceptance = Acceptance(plan.result.supply.pools, plan.result.keeping)
    for place in plan.result.supply.by_product.get(product, ()):
        mask = acceptance.mask(place, Window(due))
        offset = 0
        for block in plan.result.supply.pools[place].blocks:
            size = len(block.lots)
            total = total + block.stems[mask[offset : offset + size]].sum(axis=0, dtype=np.int32)
            offset += size
    ready = middle_and_ends(plan.result, total[np.newaxis, :])[0]
    committed = sum(named.get((product, week), 0) for week in weeks)
    free, hope = free_tables(plan.result, [product], [due], asked.levels)[:, 0, 0].tolist()
    return [AvailabilityRow(product, None, ready, committed, free, hope, shared=True)]


def _committed(plan: Plan) -> Counter[tuple[Product, Week]]:
    """Stems that lines name, by product and week."""
    found: Counter[tuple[Product, Week]] = Counter()
    for line in plan.result.lines:
        if line.product is not None and line.line_class not in _NOT_NAMED:
            found[line.product, Week.of(line.due)] += line.stems
    return found
