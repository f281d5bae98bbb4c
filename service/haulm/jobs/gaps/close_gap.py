"""Shortfalls and the options that can still close one of them."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.options.option import Option
from haulm.advice.ways import Ways
from haulm.errors import NotFound
from haulm.jobs.desk.asked_level import checked_level
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.kept_options import ways_kept
from haulm.jobs.gaps.standing_gaps import DatedGap, dated_gaps, gap_named
from haulm.language.words import _
from haulm.planning.gap_ways import days_and_ways
from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class FoundWays:
    """A gap with its ways.

    Attributes:
        gap: the gap; where its ways are kept, they were worked out with its days.
        ways: its ways; None until they are first worked out.
        is_pending: whether they are still to be worked out for the farm as it is now.
    """

    gap: DatedGap
    ways: Ways | None
    is_pending: bool

    @property
    def options(self) -> tuple[Option, ...]:
        """The ways, the recommended one first; none until they are first worked out."""
        return () if self.ways is None else self.ways.options


def list_shortfalls(desk: Desk, level: float | None = None) -> tuple[DatedGap, ...]:
    """What is short at a confidence (each line's own unless said), by the day to act.

    Raises:
        NotAccepted: the confidence is no share.
    """
    return dated_gaps(desk, desk.plan(), checked_level(level))


def gap_options(desk: Desk, key: str, level: float | None = None) -> FoundWays:
    """The options of one gap, the recommended one first, each sowing proved by a re-match.

    Raises:
        NotFound: nothing with that key is short at this confidence.
        NotAccepted: the confidence is no share.
    """
    return options_at(desk, desk.plan(), key, checked_level(level))


def options_at(desk: Desk, plan: Plan, key: str, level: float | None = None) -> FoundWays:
    """The options of one gap of a plan, as they were last worked out in the background.

    At a level asked of every line nobody works them out but whoever asks, unless the gap is the very one that stands.

    Raises:
        NotFound: nothing with that key is short at this confidence.
    """
    found = gap_named(desk, plan, key, level)
    if found is None:
        raise NotFound(kind=_("gap"), key=key)
    if level is not None and found.kept_as is None:
        return FoundWays(found, days_and_ways(plan, found.plain)[1], is_pending=False)
    ways = ways_kept(desk, found)
    return FoundWays(found, ways, found.is_pending or ways is None)
