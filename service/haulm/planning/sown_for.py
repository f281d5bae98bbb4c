"""What is sown for an order that cannot be promised as the farm stands, and the last day on which that is in time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.candidates import next_work_day, work_days
from haulm.advice.options.need import Need
from haulm.advice.options.option import Option
from haulm.advice.options.placing import moved
from haulm.advice.quote_places import most_passing
from haulm.farm.batches import Batch
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import BatchProofs, costing_of, proof_of, terms_of
from haulm.planning.sowings import grown_until

_WEEKS_LATER = 12
"""No annual that is sown so much later than on its best day still flowers by the day (common practice)."""


@dataclass(frozen=True, slots=True)
class SownFor:
    """Sowings for an order, in their beds and on the days that suit them best.

    Attributes:
        batches: the batches.
        sow_by: the last day on which they can be begun: those whose day is past by then are begun on it.
        yes_by: the last day for a yes: to order what they need, else to begin what is at home.
    """

    batches: tuple[Batch, ...]
    sow_by: date
    yes_by: date


def sown_for(
    found: Option, trial: Plan, order: str, level: float, passes: Callable[[Sequence[Batch]], bool]
) -> SownFor | None:
    """The sowings with which an order passes, and until when; None where it does not pass with them.

    Args:
        found: what is sown for it, as a gap of the same stems would have recommended; larger only where it has to be.
        trial: the farm with the order in its place as it would be promised, be it in two parts.
        order: its key.
        level: how sure all its lines must be at once, 0-1.
        passes: whether the order is promised with some batches, by a re-match of the whole farm.
    """
    need = Need(trial.lines_of(order), (level,), are_together=True)
    prove = BatchProofs(trial, need).prove
    batches = grown_until(trial, found.batches, proof_of(trial, need), need.levels, prove)
    if batches is None or not passes(batches):
        return None
    last = _last_begun(trial, batches, lambda later: prove(later).reaches(need.levels), passes)
    sow_by = min(map(day_of, last))
    return SownFor(batches, sow_by, yes_by(trial, batches, sow_by))


def _last_begun(
    trial: Plan,
    batches: tuple[Batch, ...],
    is_sure: Callable[[tuple[Batch, ...]], bool],
    passes: Callable[[Sequence[Batch]], bool],
) -> tuple[Batch, ...]:
    """The batches begun on the last day on which they still do: by how sure all is, then by the whole rule."""
    begun = [one for day in _days(trial, batches) if (one := begun_on(trial, batches, day)) is not None]
    # The last of them is months late as a rule: it is tried only once the halving comes to it.
    place = most_passing(0, len(begun), lambda at: at < len(begun) and is_sure(begun[at]))
    while place > 0 and not passes(begun[place]):
        place -= 1
    return begun[place] if place > 0 else batches


def begun_on(plan: Plan, batches: Sequence[Batch], day: date) -> tuple[Batch, ...] | None:
    """Batches, those whose own day is past by then begun on the first working day from a day on; None without room."""
    first, room = next_work_day(plan.farm.site, day), plan.room
    found: list[Batch] = []
    for batch in batches:
        crop = plan.crops[batch.variety]
        begun = moved(batch, max(first, day_of(batch)), crop, room)
        if begun is None:
            return None
        found.append(begun)
        room = room.with_batch(begun, crop)
    return tuple(found)


def seed_minor(plan: Plan, batches: Sequence[Batch]) -> int:
    """What the seed, plugs or tubers of batches cost, by the farm's figures or those to start from [minor units]."""
    return round(costing_of(plan).spent(batches))


def day_of(batch: Batch) -> date:
    """The day on which a batch is sown, or planted where it is bought."""
    day = batch.sow_date or batch.plant_out_date
    assert day is not None, "a sowing has a day"
    return day


def yes_by(plan: Plan, batches: Sequence[Batch], sow_by: date) -> date:
    """The last day to order what batches need that are begun by a day; that day, where it is at home or too late."""
    terms = terms_of(plan)
    to_order = [batch for batch in batches if terms.tick(plan.crops[batch.variety], batch.method) is None]
    found = [terms.order_by(plan.crops[b.variety], b.method, max(sow_by, day_of(b))) for b in to_order]
    days = [day for day in found if day is not None]
    return min(days, default=sow_by) if len(days) == len(found) else sow_by


def _days(plan: Plan, batches: Sequence[Batch]) -> list[date]:
    """The days on which batches may be begun, one a week, the best day of the first of them before all others."""
    first = min(map(day_of, batches))
    until = first + timedelta(weeks=_WEEKS_LATER)
    return [first, *(day for day in work_days(plan.farm.site, first, until) if day > first)]
