"""The gaps as the last letter told them: which of today's were told, and which of those told are closed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulm.farm.weeks import Week
from haulm.jobs.standing_gaps import DatedGap


@dataclass(frozen=True, slots=True)
class ToldGap:
    """A gap as it was told: how sure, what was short in words, its weeks, and whether it was grave then."""

    confidence: float
    words: str
    first: Week
    last: Week
    was_grave: bool


Told = Mapping[str, ToldGap]
"""By the gap's key."""


def told_before(found: DatedGap, told: Told) -> str | None:
    """The name under which a gap, or one that has become part of it, was told; None where it is new."""
    return next((name for name in (found.gap.key, *found.merged) if name in told), None)


def closed_words(told: Told, standing: Iterable[DatedGap], this_week: Week) -> tuple[str, ...]:
    """What was told, lies ahead, and is short no more; what is over is not closed."""
    known = {name for found in standing for name in (found.gap.key, *found.merged)}
    return tuple(dict.fromkeys(one.words for key, one in told.items() if key not in known and one.last >= this_week))
