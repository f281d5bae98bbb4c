"""What was worked out of a gap, to be kept: the ways to close it, what closes none, and why its lines are no surer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.advice.options.option import Option
from haulm.matching.reading.causes import CauseShare


@dataclass(frozen=True, slots=True)
class LessSure:
    """A line of a customer that is less sure once a way is taken: from and to, 0-1."""

    line: str
    due: date
    customer: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Effects:
    """What a way does beyond its own gap, by one re-match of the farm with it.

    Attributes:
        also_closes: names of other gaps all of whose lines reach their level with it.
        less_sure: lines that are less sure with it, most first.
        helps: names of gaps that it does not close, and the share of the stems they lack that it gives, 0-1.
    """

    also_closes: tuple[str, ...]
    less_sure: tuple[LessSure, ...]
    helps: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Ways:
    """The ways that can still help a gap.

    Attributes:
        options: the ways, the recommended one first; telling is always one of them.
        why_open: why no sowing closes the gap, in one sentence; None where one does, and is worth it.
        effects: what the recommended way does beyond the gap; None where it sows nothing.
        causes: why its lines are no surer, in shares of the seasons in which one is short.
    """

    options: tuple[Option, ...]
    why_open: str | None
    effects: Effects | None = None
    causes: tuple[CauseShare, ...] = ()

    @property
    def recommended(self) -> Option:
        """The way that is recommended."""
        return self.options[0]
