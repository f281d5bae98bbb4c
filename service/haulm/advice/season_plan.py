"""The combined plan: what was found of each gap on the way to it, and what it says in the end, as it is kept too."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.weeks import Week


@dataclass(frozen=True, slots=True)
class LookedAt:
    """What was found of one gap by itself.

    Attributes:
        gap: key of the gap.
        sowings: batches that, made all, close it and are worth it.
        instead: kinds of ways that close it without a sowing, in words.
        why_open: why no sowing closes it; None where one does.
    """

    gap: str
    sowings: tuple[tuple[Batch, ...], ...]
    instead: tuple[str, ...]
    why_open: str | None


@dataclass(frozen=True, slots=True)
class PlannedSowing:
    """A batch to add, and the names of the gaps closed that may be given its stems."""

    batch: Batch
    may_serve: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GapThen:
    """A gap as it was when the plan was worked out; confidence 0-1, stems missing on average."""

    name: str
    asked: str
    weeks: tuple[Week, ...]
    lines: tuple[str, ...]
    confidence: float
    missing: float

    @staticmethod
    def of(gap: Gap) -> GapThen:
        """A gap as it is now, under the name that it has."""
        lines = tuple(sorted({short.line.line for short in gap.shortfalls}))
        return GapThen(gap.key, gap.asked, gap.weeks, lines, gap.confidence, gap.expected_missing)


@dataclass(frozen=True, slots=True)
class ClosedThen:
    """A gap that the plan closes: as it was, and its confidence and stems missing with the plan's batches."""

    gap: GapThen
    confidence: float
    missing: float


@dataclass(frozen=True, slots=True)
class OpenThen:
    """A gap that stays, as it is with the plan's batches, and why."""

    gap: GapThen
    reason: str


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """The combined plan of a farm.

    Attributes:
        sowings: the batches to add, exactly as they were proved, by day.
        closed: the gaps that they close.
        open: all that is still short with them.
        cost_minor: what they cost [minor units], or None where nothing is sown.
    """

    sowings: tuple[PlannedSowing, ...]
    closed: tuple[ClosedThen, ...]
    open: tuple[OpenThen, ...]
    cost_minor: int | None

    @property
    def batches(self) -> tuple[Batch, ...]:
        """The batches to add."""
        return tuple(one.batch for one in self.sowings)
