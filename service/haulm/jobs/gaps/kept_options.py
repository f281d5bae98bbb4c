"""The ways to close a gap, as the background worked them out: nobody waits for them, and asking changes nothing.

Where they are still to be worked out for the farm as it is now, the last ones stand.
"""

from __future__ import annotations

from haulm.advice.options.option import Option
from haulm.advice.ways import Ways
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.standing_gaps import DatedGap


def ways_kept(desk: Desk, found: DatedGap) -> Ways | None:
    """The ways of a gap as they were last worked out; None until they first are."""
    return None if found.kept_as is None else desk.store.gap_book.ways(found.kept_as)


def options_kept(desk: Desk, found: DatedGap) -> tuple[Option, ...] | None:
    """The ways of a gap as they were last worked out, the recommended one first; None until they first are."""
    ways = ways_kept(desk, found)
    return None if ways is None else ways.options


def recommended_kept(desk: Desk, found: DatedGap) -> Option | None:
    """The way that is recommended, as it was last worked out; None until it first is."""
    ways = ways_kept(desk, found)
    return None if ways is None else ways.recommended
