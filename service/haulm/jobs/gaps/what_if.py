"""What if: changes tried on a copy of the farm, before and after side by side. Nothing is written."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Generic, TypeVar

from haulm.advice.shortfalls import Gap, LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.jobs.desk.asked_level import checked_level
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.nothing_changed import nothing_changed
from haulm.jobs.gaps.over_full_beds import fuller_beds
from haulm.jobs.gaps.standing_gaps import named_at
from haulm.jobs.gaps.supposed import Supposed, frost_days_earlier, supposed_farm
from haulm.planning.outlooks import Delivery
from haulm.planning.plan import Plan

T = TypeVar("T")
_SAME = 5e-7
"""Figures that differ by less are shown as the same."""


@dataclass(frozen=True, slots=True)
class Pair(Generic[T]):
    """Something before and after; None where it is not there."""

    before: T | None
    after: T | None

    @property
    def either(self) -> T:
        """The one after, or where it is gone the one before."""
        found = self.after if self.after is not None else self.before
        assert found is not None, "it is there before or after"
        return found


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Before and after.

    Attributes:
        level: the confidence at which gaps are counted; None for each line's own.
        lines: lines that ask otherwise, are less or more sure, or lack other stems on average; spare too.
        orders: deliveries whose joint confidence differs.
        gaps: all gaps before and after.
        lines_in_all: lines after the change.
        over_full: beds that the changes make over-full, or more than they were, a sentence each.
        nothing: where no line and no delivery differs, why, in a sentence; None where one does.
    """

    level: float | None
    lines: tuple[Pair[LineOutlook], ...]
    orders: tuple[Pair[Delivery], ...]
    gaps: tuple[Pair[Gap], ...]
    lines_in_all: int
    over_full: tuple[str, ...] = ()
    nothing: str | None = None


def what_if(desk: Desk, changes: Sequence[Supposed], level: float | None = None) -> WhatIf:
    """The farm with changes beside the farm as it stands.

    Raises:
        NotFound, NotAccepted, FolderRefused: a change is about something that is not there, or does not fit the farm.
    """
    plan = desk.plan()
    asked = checked_level(level)
    farm = supposed_farm(plan.farm, plan.today, changes)
    earlier = frost_days_earlier(changes)
    trial = desk.planner.trial(plan, farm, frost_days_earlier=earlier)
    found = replace(compared(desk, plan, trial, asked), over_full=fuller_beds(plan, trial))
    if found.lines or found.orders:
        return found
    return replace(found, nothing=nothing_changed(plan, trial, frost_days_earlier=earlier))


def compared(desk: Desk, before: Plan, after: Plan, level: float | None) -> WhatIf:
    """Two plans side by side, only what differs; gaps whether they differ or not."""
    # The one before is asked first: what has stayed is then carried over to the one after.
    gaps = named_at(desk, before, before.gaps(level), level)
    gaps_after = named_at(desk, before, after.gaps(level), level)
    (lines, orders), (lines_after, orders_after) = before.unlike(after, level), after.unlike(before, level)
    line_pairs = _pairs(_lines_by_key(lines), _lines_by_key(lines_after))
    order_pairs = _pairs(_by_delivery(orders), _by_delivery(orders_after))
    gap_pairs = _pairs({gap.key: gap for gap in gaps}, {gap.key: gap for gap in gaps_after})
    return WhatIf(
        level,
        tuple(pair for pair in line_pairs if _lines_differ(pair)),
        tuple(pair for pair in order_pairs if _deliveries_differ(pair)),
        tuple(sorted(gap_pairs, key=lambda pair: (pair.either.weeks[0], pair.either.key))),
        len(after.outlooks),
    )


def _pairs(before: Mapping[Hashable, T], after: Mapping[Hashable, T]) -> Iterator[Pair[T]]:
    for key in dict.fromkeys((*before, *after)):
        yield Pair(before.get(key), after.get(key))


def _lines_by_key(outlooks: Iterable[LineOutlook]) -> dict[Hashable, LineOutlook]:
    """A standing line is known by its day; a dated one keeps its name when it moves."""
    return {(o.line.line, _day(o.line.line_class, o.line.due), o.line.is_spare): o for o in outlooks}


def _by_delivery(deliveries: Iterable[Delivery]) -> dict[Hashable, Delivery]:
    ordered = sorted(deliveries, key=lambda item: (item.due, item.order, item.line_class))
    return {(item.order, _day(item.line_class, item.due)): item for item in ordered}


def _day(line_class: LineClass, due: date) -> date | None:
    return due if line_class is LineClass.STANDING else None


def _lines_differ(pair: Pair[LineOutlook]) -> bool:
    before, after = pair.before, pair.after
    if before is None or after is None or _asked(before.line) != _asked(after.line):
        return True
    sure = abs(before.confidence - after.confidence) > _SAME
    return sure or abs(before.expected_missing - after.expected_missing) > _SAME


def _asked(line: DatedLine) -> tuple[object, ...]:
    return (line.stems, line.due, line.product, line.choice, line.line_class)


def _deliveries_differ(pair: Pair[Delivery]) -> bool:
    before, after = pair.before, pair.after
    if before is None or after is None or before.due != after.due:
        return True
    sure = abs(before.joint_confidence - after.joint_confidence) > _SAME
    return sure or abs(before.expected_missing - after.expected_missing) > _SAME
