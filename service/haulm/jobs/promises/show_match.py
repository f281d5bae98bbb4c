"""The match: every line of demand, what it is given in the expected season, and how sure it is over all seasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.jobs.desk.desk import Desk
from haulm.matching.reading.which_stems import Source


@dataclass(frozen=True, slots=True)
class MatchedLine:
    """One line with the stems that feed it in the expected season; its spare beside it, never added to it."""

    line: DatedLine
    sources: tuple[Source, ...]
    confidence: float
    spare: DatedLine | None
    spare_sources: tuple[Source, ...]

    @property
    def filled(self) -> int:
        """Stems it gets in the expected season."""
        return sum(source.stems for source in self.sources)


def show_match(desk: Desk, first: date | None, last: date | None) -> tuple[MatchedLine, ...]:
    """All lines due between two days (inclusive, None: no limit), in the strict order.

    The days only filter: the match is over all demand, and lines that get nothing are listed.
    """
    plan = desk.plan()
    expected = plan.expected
    spares = _by_key(expected.result.lines, expected.sources)
    found = []
    for place, line in enumerate(expected.result.lines):
        if line.is_spare or (first is not None and line.due < first) or (last is not None and line.due > last):
            continue
        spare, spare_sources = spares.get((line.line, line.due), (None, ()))
        confidence = plan.outlook_of(line).confidence
        found.append(MatchedLine(line, expected.sources[place], confidence, spare, spare_sources))
    return tuple(found)


def _by_key(
    lines: Sequence[DatedLine], sources: Sequence[tuple[Source, ...]]
) -> Mapping[tuple[str, date], tuple[DatedLine, tuple[Source, ...]]]:
    return {(line.line, line.due): (line, sources[place]) for place, line in enumerate(lines) if line.is_spare}
