"""Stems of a product by the week in which they may first leave, season by season, and typical seasons of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Form
from haulm.forecast.typical import TypicalSeason, typical_by_week
from haulm.kept import Kept
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import IntArray, Keeping, Pool
from haulm.planning.product_rests import Grows, grows_from

WEEKS_AHEAD = 53
_NEVER_CUT = 10_000
_KEPT = 96


@dataclass(frozen=True, slots=True)
class TypicalOfProduct:
    """A poor, a middling and a good season of a product that could happen, by the week of the first due date."""

    product: Product
    seasons: tuple[TypicalSeason, ...]


@dataclass(frozen=True)
class TypicalKept:
    """Typical seasons of products that were worked out, from one version of a farm to the next."""

    known: Kept[tuple[Grows, tuple[Week, ...]], tuple[TypicalSeason, ...]] = field(default_factory=lambda: Kept(_KEPT))


def ready_by_week(result: MatchResult, product: Product, weeks: Sequence[Week]) -> IntArray:
    """Stems of a product whose first usable due date lies in each week, shape (weeks, seasons) [stems].

    Args:
        result: a match over the seasons.
        product: a variety in a form.
        weeks: the weeks.
    """
    supply = result.supply
    place_of = {week.monday.toordinal(): place for place, week in enumerate(weeks)}
    sums = np.zeros((len(weeks), supply.seasons), np.int32)
    for pool in (supply.pools[place] for place in supply.by_product.get(product, ())):
        mondays = [None if due is None else due - (due - 1) % 7 for due in _first_dues(result.keeping, pool)]
        rows = (row for block in pool.blocks for row in block.stems)
        for monday, stems in zip(mondays, rows, strict=True):
            if monday in place_of:
                sums[place_of[monday]] += stems
    return sums


def typical_products(result: MatchResult, today: date, kept: TypicalKept) -> tuple[TypicalOfProduct, ...]:
    """Typical seasons of every fresh product that has stems in the coming year, by product.

    Args:
        result: a match over the seasons.
        today: the first day on which stems may leave.
        kept: typical seasons of products that are known already.
    """
    weeks = tuple(Week.of(today).plus(number) for number in range(WEEKS_AHEAD))
    fresh = (product for product in sorted(result.supply.by_product) if product.form is not Form.DRIED)
    found = ((product, _typical(result, product, weeks, kept)) for product in fresh)
    return tuple(TypicalOfProduct(product, seasons) for product, seasons in found if seasons)


def _typical(
    result: MatchResult, product: Product, weeks: tuple[Week, ...], kept: TypicalKept
) -> tuple[TypicalSeason, ...]:
    def worked_out() -> tuple[TypicalSeason, ...]:
        return typical_by_week(ready_by_week(result, product, weeks), weeks, result.supply.weights)

    return kept.known.of((grows_from(result, product), weeks), worked_out)


def _first_dues(keeping: Keeping, pool: Pool) -> list[int | None]:
    """The first due date that each lot can serve, as a day number: its first cut day, then a drink; None for never."""
    kept, days = keeping.products[pool.product], pool.days
    today = keeping.today.toordinal()
    stands = days.cut == 0
    over = days.ready + kept.field_life.days
    ready = np.maximum(days.ready, today)
    # Day number 1 was a Monday; from each weekday so many days to the next one on which the farm cuts.
    cut = ready + np.array([_days_to_cut(keeping, weekday) for weekday in range(1, 8)], np.int32)[(ready - 1) % 7]
    first = np.where(stands, cut + keeping.condition_days, np.maximum(days.cut + keeping.condition_days, today))
    last = np.minimum(np.where(stands, over, days.cut) + kept.hold_days, days.until)
    serves = (first <= last) & (~stands | (cut <= over))
    return [due if served else None for due, served in zip(first.tolist(), serves.tolist(), strict=True)]


def _days_to_cut(keeping: Keeping, weekday: int) -> int:
    """Days from a weekday, 1 for Monday, to the next cut day; more than any stem stands where the farm never cuts."""
    ahead = ((cut - weekday) % 7 for cut in keeping.weekdays)
    return min(ahead, default=_NEVER_CUT)
