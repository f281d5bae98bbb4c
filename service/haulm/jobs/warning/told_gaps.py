"""What the last letter told: its gaps with their days, and everything else it said, so that nothing is told twice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from haulm.farm.weeks import Week, weeks_in_words
from haulm.jobs.gaps.standing_gaps import DatedGap


@dataclass(frozen=True, slots=True)
class ToldGap:
    """A gap as it was told.

    Attributes:
        confidence: how sure it was, 0-1.
        words: what was short, in words.
        first, last: its weeks.
        was_grave: whether it could not wait.
        day: the last day for what was recommended; None where an older program wrote the letter.
        way: what was recommended; empty likewise.
        was_near: whether that day was within a week.
        missed: what was said of a day that had passed.
    """

    confidence: float
    words: str
    first: Week
    last: Week
    was_grave: bool
    day: date | None = None
    way: str = ""
    was_near: bool = False
    missed: str = ""

    def facts(self) -> list[Any]:
        """It as the journal keeps it."""
        day = None if self.day is None else self.day.isoformat()
        first, last = str(self.first), str(self.last)
        told = [round(self.confidence, 4), self.words, first, last, self.was_grave]
        return [*told, day, self.way, self.was_near, self.missed]


@dataclass(frozen=True, slots=True)
class ToldLetter:
    """The last letter.

    Attributes:
        day: its day; None where there was none.
        version: the farm's version that it told of; None where it did not say.
        gaps: what it told, by the gap's key, and what those before it told that still stood.
        counted: what it only counted.
        tokens: what else it and those before it said that still stands.
    """

    day: date | None = None
    version: int | None = None
    gaps: Mapping[str, ToldGap] = field(default_factory=dict)
    counted: Mapping[str, ToldGap] = field(default_factory=dict)
    tokens: frozenset[str] = frozenset()

    @classmethod
    def of(cls, facts: Mapping[str, Any]) -> ToldLetter:
        """The letter of an entry."""
        return cls(
            date.fromisoformat(facts["day"]),
            facts.get("version"),
            _gaps(facts["gaps"]),
            _gaps(facts["counted"]),
            frozenset(facts.get("tokens", ())),
        )


def told_before(found: DatedGap, told: Mapping[str, ToldGap]) -> str | None:
    """The name under which a gap, or one that has become part of it, was told; None where it is new."""
    return next((name for name in (found.gap.key, *found.merged) if name in told), None)


def closed_words(told: ToldLetter, standing: Iterable[DatedGap], this_week: Week) -> tuple[str, ...]:
    """What was told, lies ahead, and is short no more, with its weeks; what is over is not closed."""
    known = {name for found in standing for name in (found.gap.key, *found.merged)}
    closed = [one for key, one in told.gaps.items() if key not in known and one.last >= this_week]
    weeks = {one: (one.first,) if one.first == one.last else (one.first, one.last) for one in closed}
    return tuple(dict.fromkeys(f"{one.words}, {weeks_in_words(weeks[one])}" for one in closed))


def _gaps(kept: Mapping[str, Any]) -> dict[str, ToldGap]:
    return {key: _gap(*facts) for key, facts in kept.items()}


def _gap(confidence: float, words: str, first: str, last: str, grave: bool, *more: Any) -> ToldGap:
    """A gap as kept; letters of an older program keep the first five."""
    day, way, near, missed = more if more else (None, "", False, "")
    on = None if day is None else date.fromisoformat(day)
    weeks = Week.parse(first), Week.parse(last)
    return ToldGap(float(confidence), str(words), *weeks, bool(grave), on, str(way), bool(near), str(missed))
