"""What a fresh product gives by week: stems that become usable, and those free for a new line on the better day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

import numpy as np

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.forecast.percentiles import LEVELS, whole_quantiles
from haulm.kept import Kept
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.free_to_promise import free_tables
from haulm.matching.supply import IndexArray, IntArray
from haulm.matching.windows import Acceptance, Window
from haulm.planning.product_rests import Rests, rests_on
from haulm.planning.ready_by_week import ready_by_week

_KEPT = 96


class FreeAsked(NamedTuple):
    """The weeks, the delivery days of each, and the two levels: what is promised, and what is hoped to be offered."""

    weeks: tuple[Week, ...]
    days: tuple[Weekday, ...]
    levels: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FreeWeek:
    """One product in one week, in stems.

    Attributes:
        ready: the 10th, 50th and 90th percentile of what becomes usable.
        free: the most a new line could be given at the first level on the better delivery day, nobody losing a stem.
        hope: the same at the second level, on the same day.
        shared: whether some of these stems are also on offer in another of the weeks.
    """

    ready: tuple[int, int, int]
    free: int
    hope: int
    shared: bool


@dataclass(frozen=True)
class FreeWeeksKept:
    """The weeks of products that were worked out, from one version of a farm to the next."""

    known: Kept[tuple[Rests, FreeAsked], tuple[FreeWeek, ...]] = field(default_factory=lambda: Kept(_KEPT))


def free_by_week(result: MatchResult, product: Product, asked: FreeAsked, kept: FreeWeeksKept) -> tuple[FreeWeek, ...]:
    """The weeks of one fresh product.

    Args:
        result: a match over the seasons.
        product: the product.
        asked: the weeks, the delivery days and the levels; days before the match's own have nothing free.
        kept: weeks that are known already.

    Returns:
        A row for each week.

    Source: the project's own (docs/engineer/model.md).
    """
    if product not in result.supply.by_product:
        return (FreeWeek((0, 0, 0), 0, 0, shared=False),) * len(asked.weeks)
    return kept.known.of((rests_on(result, product), asked), lambda: _worked_out(result, product, asked))


def better_days(free: IntArray) -> IndexArray:
    """The better delivery day of each week: most free at the first level, then at the second.

    Args:
        free: stems free at two levels, shape (levels, weeks, days).

    Returns:
        Places of days, shape (weeks,).
    """
    return np.asarray(np.argmax(free[0] * (1 + free[1].max()) + free[1], axis=1), np.intp)


def middle_and_ends(result: MatchResult, stems: IntArray) -> list[tuple[int, int, int]]:
    """The 10th, 50th and 90th percentile of each row, rounded down; stems of shape (rows, seasons)."""
    levels = whole_quantiles(stems, LEVELS, result.supply.weights)
    return [(int(a), int(b), int(c)) for a, b, c in levels.T]


def _worked_out(result: MatchResult, product: Product, asked: FreeAsked) -> tuple[FreeWeek, ...]:
    weeks, days, levels = asked
    dues = [week.day(day) for week in weeks for day in days]
    tables = free_tables(result, [product], dues, levels)[:, 0]
    tables[:, [due < result.keeping.today for due in dues]] = 0
    by_day = tables.reshape(len(levels), len(weeks), len(days))
    best = better_days(by_day).tolist()
    free, hope = by_day.max(axis=2).tolist()
    ready = middle_and_ends(result, ready_by_week(result, product, weeks))
    shared = _shared(result, product, [week.day(days[at]) for week, at in zip(weeks, best, strict=True)])
    return tuple(FreeWeek(*found) for found in zip(ready, free, hope, shared, strict=True))


def _shared(result: MatchResult, product: Product, dues: Sequence[date]) -> list[bool]:
    """Whether a due date's stems are also usable on another of the due dates."""
    acceptance = Acceptance(result.supply.pools, result.keeping)
    found = np.zeros(len(dues), np.bool_)
    for place in result.supply.by_product[product]:
        pool = result.supply.pools[place]
        some = np.concatenate([block.stems.any(axis=1) for block in pool.blocks])
        masks = np.array([acceptance.mask(place, Window(due)) & some for due in dues])
        several = masks.sum(axis=0) > 1
        found |= (masks & several).any(axis=1)
    return [bool(flag) for flag in found]
