"""What an option does beyond its own gap: what it also closes, whom it makes less sure, what it has no room beside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from haulm.advice.options.option import Option
from haulm.advice.options.placing import Full, moved
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.planning.combined_plan import with_batches
from haulm.planning.plan import Plan

_NOTICED = 0.001
"""Less of a confidence than this is an accident of the draw [share]."""
_WORTH_SAYING = 0.2
"""A smaller part of another gap that goes with it is not said [share]."""


@dataclass(frozen=True, slots=True)
class Lowered:
    """A line that would be less sure: from and to, 0-1."""

    line: DatedLine
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Helped:
    """A gap that is not closed, and the share of the stems it lacks on average that would be there, 0-1."""

    gap: Gap
    share: float


@dataclass(frozen=True, slots=True)
class Beyond:
    """What batches do beyond the gap they are for.

    Attributes:
        also_close: other gaps all of whose lines reach their level with them.
        helped: other gaps that lack a fifth less, or still less, in the order of the gaps.
        lowered: lines that would be less sure, most first.
    """

    also_close: tuple[Gap, ...]
    helped: tuple[Helped, ...]
    lowered: tuple[Lowered, ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """Two options that cannot both be taken as they are: what is full, the bed (None: the benches), and since when."""

    full: Full
    bed: str | None
    day: date


def beyond(plan: Plan, gap: Gap, batches: tuple[Batch, ...], level: float | None = None) -> Beyond:
    """What batches that close a gap do to everybody else, by one re-match of the farm with them.

    Args:
        plan: the plan.
        gap: the gap they are for.
        batches: the batches, in their beds.
        level: the confidence that gaps are looked at; None for each line's own.
    """
    after = with_batches(plan, batches)
    still = {_key(short.line) for found in after.gaps(level) for short in found.shortfalls}
    others = [found for found in plan.gaps(level) if found.key != gap.key]
    closed = tuple(found for found in others if not any(_key(short.line) in still for short in found.shortfalls))
    open_ones = [found for found in others if found not in closed]
    lowered = sorted(_lowered(plan, after), key=lambda one: (one.after - one.before, one.line.precedence))
    return Beyond(closed, tuple(_helped(after, open_ones)), tuple(lowered))


def clash(plan: Plan, one: Option, other: Option) -> Clash | None:
    """What has no room for a second option once the first is taken; None where both fit as they are."""
    room = plan.room
    for batch in one.batches:
        room = room.with_batch(batch, plan.crops[batch.variety])
    for batch in other.batches:
        crop = plan.crops[batch.variety]
        day = batch.sow_date or batch.plant_out_date
        assert day is not None, "a sowing has a day"
        if moved(batch, day, crop, room) is None:
            if batch.trays is not None and not room.has_bench_for(batch, crop, batch.trays):
                return Clash(Full.BENCH, None, day)
            return Clash(Full.BED, batch.bed, day)
        room = room.with_batch(batch, crop)
    return None


def _helped(after: Plan, gaps: Iterable[Gap]) -> Iterator[Helped]:
    missing = {_key(found.line): found.expected_missing for found in after.outlooks if not found.line.is_spare}
    for gap in gaps:
        lacks = sum(missing[_key(short.line)] for short in gap.shortfalls)
        share = 1.0 - lacks / gap.expected_missing if gap.expected_missing > 0 else 0.0
        if share >= _WORTH_SAYING:
            yield Helped(gap, min(1.0, share))


def _lowered(plan: Plan, after: Plan) -> Iterator[Lowered]:
    now = {_key(found.line): found.confidence for found in after.outlooks if not found.line.is_spare}
    for found in plan.outlooks:
        key = _key(found.line)
        if not found.line.is_spare and now[key] < found.confidence - _NOTICED:
            yield Lowered(found.line, found.confidence, now[key])


def _key(line: DatedLine) -> tuple[str, date]:
    return (line.line, line.due)
