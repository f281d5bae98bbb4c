"""Why stems are as unsure as they are, for the grower: the parts of the doubt, and the figure that would help most."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

import numpy as np

from haulm.advice.pricing import answering
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.forecast.inputs import Sowing
from haulm.forecast.less_doubt import FloatArray, Window, narrowed, part_of, richest_week, sure_stems, together
from haulm.forecast.parts_of_doubt import MOST_KINDS, Part, PartOfDoubt, factors_of, parts_of_doubt
from haulm.forecast.seasons import Seasons
from haulm.matching.allocation.candidates import products_named
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan

LEFT_BY_A_TOTAL = 0.28
"""Spread of a kind's stems once its total of one own season is known (measured where one kind alone was counted)."""

LEFT_BY_A_FIRST_CUT = 0.06
"""Spread of its weeks once its first cut of one own season is known (measured)."""


class FigureToTell(StrEnum):
    """What a grower may look up or count: last year's total of a kind, its first cut, what came up of its sowings."""

    TOTAL = "total"
    FIRST_CUT = "first_cut"
    COUNT = "count"


_LEFT = {
    FigureToTell.TOTAL: (Part.STEMS, LEFT_BY_A_TOTAL),
    FigureToTell.FIRST_CUT: (Part.WEEKS, LEFT_BY_A_FIRST_CUT),
}


@dataclass(frozen=True, slots=True)
class WorthTelling:
    """A figure of a kind, by its key and name, and how many more stems of some days could be promised with it."""

    kind: str
    kind_name: str
    figure: FigureToTell
    stems: int


@dataclass(frozen=True, slots=True)
class DoubtExplained:
    """What some stems are unsure for.

    Attributes:
        parts: shares of the doubt, the largest first, adding up to 1; none where there is nothing to doubt.
        worth: the figure that would let most more be promised; None where none would a stem.
    """

    parts: tuple[PartOfDoubt, ...] = ()
    worth: WorthTelling | None = None


NOTHING_TO_DOUBT = DoubtExplained()

_Given = tuple[Sowing, tuple[FloatArray, ...]]
"""A batch, and what it adds to the stems of a window."""


def worth_telling_of_batch(plan: Plan, key: str, level: float) -> WorthTelling | None:
    """The figure that would let most more be promised of a batch's richest week; None where none would a stem.

    Args:
        plan: the plan of the day.
        key: the batch.
        level: how sure a promise of its stems has to be.
    """
    sowings = _sowings(plan, (batch for batch in plan.growth.seen.batches if batch.key == key))
    seasons = _seasons(plan)
    if seasons is None or not sowings:
        return None
    week = richest_week(sowings, seasons)
    return _worth(_parts(sowings, seasons, week), seasons, week, level)


def doubt_of_line(plan: Plan, line: DatedLine) -> DoubtExplained:
    """What the field stems that a line may take are unsure for; whoever else takes them is left out."""
    keeping = plan.growth.keeping
    return doubt_of_products(plan, products_named(line, keeping, keeping.products), line.due, line.level)


def products_of_rows(plan: Plan, rows: Iterable[OrderLine | StandingLine]) -> tuple[Product, ...]:
    """Every product that some lines may take, once each."""
    found: dict[Product, None] = {}
    for row in rows:
        named = (row.product,) if row.product is not None else ()
        chosen = answering(row.choice, plan.crops) if row.choice is not None else ()
        found |= dict.fromkeys((*named, *chosen, *row.substitutes))
    return tuple(found)


def doubt_of_products(plan: Plan, products: Collection[Product], due: date, level: float) -> DoubtExplained:
    """What the field stems of some products that may leave on a day are unsure for.

    Args:
        plan: the plan of the day.
        products: the products.
        due: the day the stems leave.
        level: how sure they are to be.
    """
    keeping, seasons = plan.growth.keeping, _seasons(plan)
    sowings = _sowings(plan, (batch for batch in plan.growth.seen.batches if batch.product in products))
    if seasons is None or not sowings:
        return NOTHING_TO_DOUBT
    day = seasons.span.index(due)
    oldest = max(keeping.products[one.product].oldest_days for one in sowings)
    window = Window(day - oldest, day + 1 - keeping.condition_days)
    given = _parts(sowings, seasons, window)
    stems = together((part for _, part in given), seasons)
    year = int(seasons.growing_year[min(max(0, day), seasons.span.days - 1)])
    outcome = (stems, np.ones(len(stems), np.bool_))
    parts = parts_of_doubt([outcome], seasons.weights, factors_of(sowings, seasons, year))
    return DoubtExplained(parts, _worth(given, seasons, window, level) if parts else None)


def _seasons(plan: Plan) -> Seasons | None:
    return None if plan.growth.forecast is None else plan.growth.forecast.seasons


def _sowings(plan: Plan, batches: Iterable[Batch]) -> list[Sowing]:
    growth = plan.growth
    return [sowing_of(plan.farm, batch, growth.crops[batch.variety], growth.seen) for batch in batches]


def _parts(sowings: Iterable[Sowing], seasons: Seasons, window: Window) -> list[_Given]:
    return [(sowing, part_of(sowing, seasons, window)) for sowing in sowings]


def _worth(given: Sequence[_Given], seasons: Seasons, window: Window, level: float) -> WorthTelling | None:
    """The figure that would raise most what is sure in the window, of the kinds that give most there."""
    now = sure_stems(together((part for _, part in given), seasons), seasons, level)
    best: WorthTelling | None = None
    for kind, name in _largest_kinds(given, seasons):
        for figure in FigureToTell:
            # What batches of other kinds give stays, and is not worked out again for every figure.
            parts = [
                part if sowing.kind_key != kind else part_of(_told(sowing, seasons, figure), seasons, window)
                for sowing, part in given
            ]
            more = int(sure_stems(together(parts, seasons), seasons, level) - now)
            if more > (0 if best is None else best.stems):
                best = WorthTelling(kind, name, figure, more)
    return best


def _told(sowing: Sowing, seasons: Seasons, figure: FigureToTell) -> Sowing:
    """A batch with so much less to doubt."""
    if figure is FigureToTell.COUNT:
        return replace(sowing, lot_seen=True)
    part, left = _LEFT[figure]
    return narrowed(sowing, seasons, part, spread=left)


def _largest_kinds(given: Sequence[_Given], seasons: Seasons) -> list[tuple[str, str]]:
    """The keys and names of the kinds that give most in the window on average."""
    names = {sowing.kind_key: sowing.crop.kind_name for sowing, _ in given}
    if len(names) == 1:
        return list(names.items())
    mean = {
        kind: float(together((part for one, part in given if one.kind_key == kind), seasons) @ seasons.weights)
        for kind in names
    }
    return sorted(names.items(), key=lambda kind: (-mean[kind[0]], kind[0]))[:MOST_KINDS]
