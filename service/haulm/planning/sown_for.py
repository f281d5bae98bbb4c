"""What is sown for an order that cannot be promised as the farm stands, and the last day on which that is in time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.candidates import next_work_day, work_days
from haulm.advice.options.placing import moved
from haulm.advice.quote_places import most_passing
from haulm.farm.batches import Batch
from haulm.matching.confidence import reaches
from haulm.planning.plan import Plan
from haulm.planning.safer import surer
from haulm.planning.sowing_search import costing_of, terms_of

_WEEKS_LATER = 12
"""No annual that is sown so much later than on its best day still flowers by the day (common practice)."""


@dataclass(frozen=True, slots=True)
class SownFor:
    """Sowings for an order, in their beds and on the days that suit them best.

    Attributes:
        batches: the batches.
        sow_by: the last day on which they can be begun: those whose day is past by then are sown on it.
        yes_by: the last day for a yes: to order what they need, else to sow what is at home.
    """

    batches: tuple[Batch, ...]
    sow_by: date
    yes_by: date


def sown_for(trial: Plan, order: str, level: float, passes: Callable[[Sequence[Batch]], bool]) -> SownFor | None:
    """The sowings with which an order passes, and until when; None where none was found, or none is needed.

    Args:
        trial: the farm with the order in its place.
        order: its key.
        level: how sure all its lines must be at once, 0-1.
        passes: whether the order is promised with some batches, by a re-match of the whole farm.
    """
    better = surer(trial, trial.lines_of(order), level)
    if better is None or not reaches(better.joint, level) or not passes(better.batches):
        return None
    days = [day for day in _days(trial, better.batches) if begun_on(trial, better.batches, day) is not None]

    def in_time(place: int) -> bool:
        later = begun_on(trial, better.batches, days[place])
        return later is not None and passes(later)

    last = days[most_passing(0, len(days) - 1, in_time)] if days else better.decide_by
    return SownFor(better.batches, last, _yes_by(trial, better.batches, last))


def begun_on(plan: Plan, batches: Sequence[Batch], day: date) -> tuple[Batch, ...] | None:
    """Batches, those whose own day is past by then sown on the first working day from a day on; None without room."""
    first, room = next_work_day(plan.farm.site, day), plan.room
    found: list[Batch] = []
    for batch in batches:
        crop = plan.crops[batch.variety]
        begun = moved(batch, max(first, _day_of(batch)), crop, room)
        if begun is None:
            return None
        found.append(begun)
        room = room.with_batch(begun, crop)
    return tuple(found)


def seed_minor(plan: Plan, batches: Sequence[Batch]) -> int:
    """What the seed of batches costs by the farm's own figures or those to start from [minor units]."""
    return round(costing_of(plan).spent(batches))


def _days(plan: Plan, batches: Sequence[Batch]) -> list[date]:
    """The days on which batches may be begun, one a week, the best day of the first of them before all others."""
    first = min(map(_day_of, batches))
    until = first + timedelta(weeks=_WEEKS_LATER)
    return [first, *(day for day in work_days(plan.farm.site, first, until) if day > first)]


def _yes_by(plan: Plan, batches: Sequence[Batch], sow_by: date) -> date:
    """The last day to order what batches need that are begun by a day; that day, where it is too late to order."""
    terms = terms_of(plan)
    found = [terms.order_by(plan.crops[b.variety], b.method, max(sow_by, _day_of(b))) for b in batches]
    days = [day for day in found if day is not None]
    return min(days) if len(days) == len(found) else sow_by


def _day_of(batch: Batch) -> date:
    assert batch.sow_date is not None, "a sowing has a day"
    return batch.sow_date
