"""Beds that the plan asks for more metres than they have, as people say it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from haulm.advice.room import OverFull, Room
from haulm.farm.batches import Batch
from haulm.farm.quantities import HAIR
from haulm.farm.weeks import weeks_in_words
from haulm.language.words import _
from haulm.planning.plan import Plan

_AHEAD = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class OverFullBed:
    """A bed that is asked for more than it has.

    Attributes:
        bed: its key.
        name: its name.
        weeks: the weeks in which it is, rising.
        worst: the week in which most is asked.
    """

    bed: str
    name: str
    weeks: tuple[OverFull, ...]
    worst: OverFull

    @property
    def sentence(self) -> str:
        """The bed, the week, the metres asked and the metres there."""
        weeks = weeks_in_words([found.week for found in self.weeks])
        return _("{name} is over-full in {weeks}: {asked} m asked in week {number}, {metres} m there.").format(
            name=self.name,
            weeks=weeks,
            asked=f"{self.worst.asked:g}",
            number=self.worst.week.number,
            metres=f"{self.worst.metres:g}",
        )


def fuller_beds(before: Plan, after: Plan) -> tuple[str, ...]:
    """What changes ask of beds that these have not: each bed that is over-full by them, or more than it was."""
    return _fuller(over_full_beds(before), over_full_beds(after))


def fuller_with(plan: Plan, batches: Iterable[Batch], until: date) -> tuple[str, ...]:
    """What sowings would ask of beds that these have not, in sentences; looked at up to a day, nothing else tried."""
    room = plan.room
    for batch in batches:
        room = room.with_batch(batch, plan.crops[batch.variety])
    return _fuller(_over_full(plan, plan.room, until), _over_full(plan, room, until))


def over_full_beds(plan: Plan) -> Iterator[OverFullBed]:
    """The beds that are asked for more than they have within a year, in the farm's order."""
    room, known = plan.room, {batch.key for batch in plan.growth.seen.batches}
    # A trial puts what it adds beside what has been read of the farm.
    for batch in plan.farm.batches:
        if batch.key not in known:
            room = room.with_batch(batch, plan.crops[batch.variety])
    yield from _over_full(plan, room, plan.today + _AHEAD)


def _fuller(before: Iterable[OverFullBed], after: Iterable[OverFullBed]) -> tuple[str, ...]:
    known = {bed.bed: bed.worst.asked for bed in before}
    return tuple(
        _("{sentence} Take another bed, fewer places, or another day.").format(sentence=bed.sentence)
        for bed in after
        if bed.worst.asked > known.get(bed.bed, 0.0) + HAIR
    )


def _over_full(plan: Plan, room: Room, until: date) -> Iterator[OverFullBed]:
    names = {bed.key: bed.name for bed in plan.farm.beds}
    found = room.over_full(plan.today, until)
    for bed, weeks in groupby(found, key=lambda one: one.bed):
        own = tuple(weeks)
        yield OverFullBed(bed, names[bed], own, max(own, key=lambda one: (one.asked, -one.week.monday.toordinal())))
