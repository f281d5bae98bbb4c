"""Why stems are as unsure as they are, for the grower: the parts of the doubt, and the figure that would help most."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.forecast.doubt_parts import (
    DoubtPart,
    DoubtShare,
    Window,
    doubt_parts,
    narrowed,
    richest_week,
    stems_in,
    sure_stems,
)
from haulm.forecast.inputs import Sowing
from haulm.forecast.seasons import Seasons
from haulm.matching.wishes import products_named
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan

LEFT_BY_A_TOTAL = 0.28
"""Spread of a kind's stems once its total of one own season is known (measured where one kind alone was counted)."""

LEFT_BY_A_FIRST_CUT = 0.06
"""Spread of its weeks once its first cut of one own season is known (measured)."""

_MOST_KINDS = 8


class FigureToTell(StrEnum):
    """What a grower may look up or count: last year's total of a kind, its first cut, what came up of its sowings."""

    TOTAL = "total"
    FIRST_CUT = "first_cut"
    COUNT = "count"


_LEFT = {
    FigureToTell.TOTAL: (DoubtPart.STEMS, LEFT_BY_A_TOTAL),
    FigureToTell.FIRST_CUT: (DoubtPart.WEEKS, LEFT_BY_A_FIRST_CUT),
}


@dataclass(frozen=True, slots=True)
class WorthTelling:
    """A figure of a kind, by its key, and how many more stems could be promised in the window with it."""

    kind: str
    figure: FigureToTell
    stems: int


@dataclass(frozen=True, slots=True)
class DoubtExplained:
    """What some stems are unsure for.

    Attributes:
        parts: shares of the doubt, the largest first, adding up to 1; none where there is nothing to doubt.
        worth: the figure that would let most more be promised; None where none would a stem.
    """

    parts: tuple[DoubtShare, ...] = ()
    worth: WorthTelling | None = None

    @property
    def is_first_year(self) -> bool:
        """Whether figures that the farm has not counted itself make most of what could be known."""
        shares = {one.part: one.share for one in self.parts}
        figures = shares.get(DoubtPart.STEMS, 0.0) + shares.get(DoubtPart.WEEKS, 0.0)
        return self.worth is not None and figures > shares.get(DoubtPart.SEASON, 0.0)


NOTHING_TO_DOUBT = DoubtExplained()


def doubt_of_batch(plan: Plan, key: str, level: float) -> DoubtExplained:
    """What the stems of a batch's richest week are unsure for.

    Args:
        plan: the plan of the day.
        key: the batch.
        level: how sure a promise of its stems has to be.
    """
    sowings = _sowings(plan, (batch for batch in plan.growth.seen.batches if batch.key == key))
    seasons = _seasons(plan)
    if seasons is None or not sowings:
        return NOTHING_TO_DOUBT
    return _explained(sowings, seasons, richest_week(sowings, seasons), level)


def doubt_of_lines(plan: Plan, lines: Sequence[DatedLine]) -> DoubtExplained:
    """What the field stems that some lines may take are unsure for; whoever else takes them is left out.

    Args:
        plan: the plan of the day.
        lines: lines of one order and day, or one line.
    """
    keeping, seasons = plan.growth.keeping, _seasons(plan)
    products = {item for line in lines for item in products_named(line, keeping, keeping.products)}
    sowings = _sowings(plan, (batch for batch in plan.growth.seen.batches if batch.product in products))
    if seasons is None or not sowings:
        return NOTHING_TO_DOUBT
    due = max(line.due for line in lines)
    kept = [keeping.products[sowing.product] for sowing in sowings]
    oldest = max(one.hold_days + one.stand_days for one in kept)
    window = Window(seasons.span.index(due) - oldest, seasons.span.index(due) + 1 - keeping.condition_days)
    return _explained(sowings, seasons, window, max(line.level for line in lines))


def _seasons(plan: Plan) -> Seasons | None:
    return None if plan.growth.forecast is None else plan.growth.forecast.seasons


def _sowings(plan: Plan, batches: Iterable[Batch]) -> list[Sowing]:
    growth = plan.growth
    return [sowing_of(plan.farm, batch, growth.crops[batch.variety], growth.seen) for batch in batches]


def _explained(sowings: Sequence[Sowing], seasons: Seasons, window: Window, level: float) -> DoubtExplained:
    parts = doubt_parts(sowings, seasons, window)
    return DoubtExplained(parts, _worth(sowings, seasons, window, level)) if parts else NOTHING_TO_DOUBT


def _worth(sowings: Sequence[Sowing], seasons: Seasons, window: Window, level: float) -> WorthTelling | None:
    """The own figure that would raise most what is sure in the window, of the kinds that give most there."""
    now = sure_stems(sowings, seasons, window, level=level)
    best: WorthTelling | None = None
    for kind in _largest_kinds(sowings, seasons, window):
        for figure in FigureToTell:
            told = [_told(sowing, seasons, figure) if sowing.kind_key == kind else sowing for sowing in sowings]
            more = int(sure_stems(told, seasons, window, level=level) - now)
            if more > (0 if best is None else best.stems):
                best = WorthTelling(kind, figure, more)
    return best


def _told(sowing: Sowing, seasons: Seasons, figure: FigureToTell) -> Sowing:
    """A batch with so much less to doubt."""
    if figure is FigureToTell.COUNT:
        return replace(sowing, lot_seen=True)
    part, left = _LEFT[figure]
    return narrowed(sowing, seasons, part, spread=left)


def _largest_kinds(sowings: Sequence[Sowing], seasons: Seasons, window: Window) -> list[str]:
    kinds = sorted({sowing.kind_key for sowing in sowings})
    if len(kinds) <= 1:
        return kinds
    mean = {
        kind: float(stems_in([one for one in sowings if one.kind_key == kind], seasons, window) @ seasons.weights)
        for kind in kinds
    }
    return sorted(kinds, key=lambda kind: -mean[kind])[:_MOST_KINDS]
