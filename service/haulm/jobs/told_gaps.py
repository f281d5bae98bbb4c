"""The gaps as the last letter told them: which of today's were told, and which of those told are closed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulm.advice.shortfalls import Gap
from haulm.farm.weeks import Week


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


def told_before(gap: Gap, told: Told) -> str | None:
    """The key under which a gap was told; None where it is new.

    A gap whose first week has passed goes on under the key of the next one, and is the same to whoever reads of it.
    """
    if gap.key in told:
        return gap.key
    first = gap.weeks[0]
    return next(
        (key for key, one in told.items() if _base(key) == _base(gap.key) and one.first < first <= one.last), None
    )


def closed_words(told: Told, standing: Iterable[Gap], this_week: Week) -> tuple[str, ...]:
    """What was told, lies ahead, and is short no more; what is over is not closed."""
    known = {told_before(gap, told) for gap in standing}
    return tuple(dict.fromkeys(one.words for key, one in told.items() if key not in known and one.last >= this_week))


def _base(key: str) -> str:
    """What is asked, of a gap's key: its first week, which ends it, is left out."""
    return key[: -len("-2027-W30")]
