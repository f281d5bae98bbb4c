"""Shortfalls: the lines that are less sure than they should be, gathered into gaps."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from haulm.demand.dated_line import DatedLine
from haulm.farm.quantities import reaches
from haulm.farm.weeks import Week

_NOT_IN_KEYS = re.compile(r"[^A-Za-z0-9_.-]+")


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A line that is filled in seasons weighing less than the level it is held to.

    Attributes:
        line: the dated line.
        confidence: weight of the seasons in which it is filled, 0-1.
        expected_missing: stems missing on average over the seasons.
        level: the level it is held to, 0-1.
        gap: key of the gap it belongs to.
    """

    line: DatedLine
    confidence: float
    expected_missing: float
    level: float
    gap: str

    def __post_init__(self) -> None:
        assert self.expected_missing >= 0, "no line gets more than it asks"


@dataclass(frozen=True, slots=True)
class Gap:
    """A product (or a choice) that is short over consecutive weeks, with its short lines inside."""

    key: str
    asked: str
    weeks: tuple[Week, ...]
    shortfalls: tuple[Shortfall, ...]

    def __post_init__(self) -> None:
        assert self.weeks and self.shortfalls, "a gap has weeks, and lines that are short"

    @property
    def expected_missing(self) -> float:
        """Stems missing on average over all its lines."""
        return sum(short.expected_missing for short in self.shortfalls)

    @property
    def confidence(self) -> float:
        """The confidence of its least sure line."""
        return self._least_sure.confidence

    @property
    def level(self) -> float:
        """The level that its least sure line is held to."""
        return self._least_sure.level

    @property
    def levels(self) -> tuple[float, ...]:
        """The level of each of its lines, in their order."""
        return tuple(short.level for short in self.shortfalls)

    @property
    def _least_sure(self) -> Shortfall:
        return min(self.shortfalls, key=lambda short: (short.confidence, -short.level))


@dataclass(frozen=True, slots=True)
class LineOutlook:
    """What the match says of one line over the seasons."""

    line: DatedLine
    confidence: float
    expected_missing: float


def gaps(outlooks: Iterable[LineOutlook], level: float | None) -> tuple[Gap, ...]:
    """The gaps, earliest first.

    Args:
        outlooks: each dated line with its confidence; spare is no promise and is passed over.
        level: the confidence asked of every line, 0-1; None for each line's own.
    """
    short = short_lines(outlooks, level)
    return in_order(gap for asked, lines in short.items() for gap in gaps_of(asked, lines, level))


def short_lines(outlooks: Iterable[LineOutlook], level: float | None) -> dict[str, list[LineOutlook]]:
    """The lines less sure than a level, or than their own, in their order, by what they ask; spare is passed over."""
    short: dict[str, list[LineOutlook]] = {}
    for outlook in outlooks:
        if not outlook.line.is_spare and not reaches(outlook.confidence, outlook.line.held_to(level)):
            short.setdefault(asked_of(outlook.line), []).append(outlook)
    return short


def gaps_of(asked: str, lines: Sequence[LineOutlook], level: float | None) -> tuple[Gap, ...]:
    """The gaps of lines that all ask the same and are all less sure than a level, or than their own."""
    return tuple(_gap(asked, run, level) for run in _runs(lines))


def in_order(found: Iterable[Gap]) -> tuple[Gap, ...]:
    """Gaps, earliest first."""
    return tuple(sorted(found, key=lambda gap: (gap.weeks[0], gap.key)))


def renamed(gap: Gap, name: str) -> Gap:
    """A gap under another name."""
    if name == gap.key:
        return gap
    return replace(gap, key=name, shortfalls=tuple(replace(short, gap=name) for short in gap.shortfalls))


def asked_of(line: DatedLine) -> str:
    """What a line asks, as text: its product, or its choice."""
    return str(line.product) if line.product is not None else str(line.choice)


def _runs(outlooks: Sequence[LineOutlook]) -> Iterable[list[LineOutlook]]:
    run: list[LineOutlook] = []
    for outlook in sorted(outlooks, key=lambda item: (item.line.due, item.line.precedence)):
        week = Week.of(outlook.line.due)
        if run and week > Week.of(run[-1].line.due).plus(1):
            yield run
            run = []
        run.append(outlook)
    if run:
        yield run


def _gap(asked: str, run: Sequence[LineOutlook], level: float | None) -> Gap:
    weeks = tuple(sorted({Week.of(outlook.line.due) for outlook in run}))
    key = f"{_NOT_IN_KEYS.sub('.', asked)}-{weeks[0]}"
    shorts = tuple(Shortfall(o.line, o.confidence, o.expected_missing, o.line.held_to(level), key) for o in run)
    return Gap(key, asked, weeks, shorts)
