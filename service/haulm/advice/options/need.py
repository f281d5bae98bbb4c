"""What is missing and wanted: lines that a sowing is looked for, and how sure they are to be with it.

A gap and a quote ask the same search. They differ in one thing: of a gap each line is held to a level of its own; of an
order all lines are to be filled in the same season.
"""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine

KINDS_TRIED = 4
"""For a choice, the kinds that flower soonest are tried; the rest would only come later."""
SURE_MARGIN = 0.01
"""A batch is made this much surer than asked, so that drawing its own luck anew does not open the gap again."""


@dataclass(frozen=True, slots=True)
class Need:
    """Lines that are to be surer.

    Attributes:
        lines: the lines that something is sown for.
        levels: how sure each is to be; where they count together one level for all of them in the same season, 0-1.
        are_together: whether they count together.
        beside: where they count together, what else is to be filled in that season, with what is there.
        kinds: of what answers each line so many kinds are tried, those that flower soonest.
    """

    lines: tuple[DatedLine, ...]
    levels: tuple[float, ...]
    are_together: bool = False
    beside: tuple[DatedLine, ...] = ()
    kinds: int = KINDS_TRIED

    @property
    def watched(self) -> tuple[DatedLine, ...]:
        """All lines that its levels are about."""
        return (*self.lines, *self.beside)

    @property
    def sure_levels(self) -> tuple[float, ...]:
        """The levels, each with its margin."""
        return tuple(min(level + SURE_MARGIN, 1.0) for level in self.levels)


def need_of(gap: Gap) -> Need:
    """The lines of a gap, each at its own level."""
    return Need(tuple(short.line for short in gap.shortfalls), gap.levels)
