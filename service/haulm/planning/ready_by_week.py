"""Stems of a product by the week in which they may first leave, season by season, and typical seasons of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Form
from haulm.forecast.typical import TypicalSeason, typical_by_week
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import IntArray, Lot, Pool

WEEKS_AHEAD = 53


@dataclass(frozen=True, slots=True)
class TypicalOfProduct:
    """A poor, a middling and a good season of a product that could happen, by the week of the first due date."""

    product: Product
    seasons: tuple[TypicalSeason, ...]


def ready_by_week(result: MatchResult, product: Product, weeks: Sequence[Week]) -> IntArray:
    """Stems of a product whose first usable due date lies in each week, shape (weeks, seasons) [stems].

    Args:
        result: a match over the seasons.
        product: a variety in a form.
        weeks: the weeks.
    """
    supply = result.supply
    place_of = {week: place for place, week in enumerate(weeks)}
    sums = np.zeros((len(weeks), supply.seasons), np.int32)
    for pool in (supply.pools[place] for place in supply.by_product.get(product, ())):
        for block in pool.blocks:
            for row, lot in enumerate(block.lots):
                due = _first_due(result, pool, lot)
                place = None if due is None else place_of.get(Week.of(due))
                if place is not None:
                    sums[place] += block.stems[row]
    return sums


def typical_products(result: MatchResult, today: date) -> tuple[TypicalOfProduct, ...]:
    """Typical seasons of every fresh product that has stems in the coming year, by product.

    Args:
        result: a match over the seasons.
        today: the first day on which stems may leave.
    """
    weeks = [Week.of(today).plus(number) for number in range(WEEKS_AHEAD)]
    return tuple(_typical(result, weeks))


def _typical(result: MatchResult, weeks: Sequence[Week]) -> Iterator[TypicalOfProduct]:
    for product in sorted(result.supply.by_product):
        if product.form is not Form.DRIED:
            found = typical_by_week(ready_by_week(result, product, weeks), weeks, result.supply.weights)
            if found:
                yield TypicalOfProduct(product, found)


def _first_due(result: MatchResult, pool: Pool, lot: Lot) -> date | None:
    """The first due date a lot can serve: its first cut day, then a drink."""
    keeping = result.keeping
    condition = timedelta(days=keeping.condition_days)
    kept = keeping.products[pool.product]
    if lot.cut is not None:
        first = max(lot.cut + condition, keeping.today)
        last = lot.cut + timedelta(days=kept.hold_days)
    else:
        over = kept.field_life.last_day(lot.ready)
        cut = max(lot.ready, keeping.today)
        while cut <= over and cut.isoweekday() not in keeping.weekdays:
            cut += timedelta(days=1)
        first, last = cut + condition, over + timedelta(days=kept.hold_days)
        if cut > over:
            return None
    if lot.usable_until is not None:
        last = min(last, lot.usable_until)
    return first if first <= last else None
