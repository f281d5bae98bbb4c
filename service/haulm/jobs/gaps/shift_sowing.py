"""A sowing of the plan supposed earlier, later, larger, smaller or left out. Nothing is written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.errors import NotAccepted, NotFound
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.words import BatchStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.gaps.over_full_beds import fuller_beds
from haulm.jobs.growing.batch_forecast import cutting_days_of
from haulm.language.words import _
from haulm.planning.plan import Plan

MOST_WEEKS = 26
MOST_PLACES = 100_000


@dataclass(frozen=True, slots=True)
class ShiftAsked:
    """How a sowing is supposed to be.

    Attributes:
        key: which sowing.
        weeks: later by so many weeks; earlier where negative.
        places: its places; None for as many as it has.
        is_left_out: whether nothing comes of it.
    """

    key: str
    weeks: int = 0
    places: int | None = None
    is_left_out: bool = False


@dataclass(frozen=True, slots=True)
class Shifted:
    """A sowing as it is supposed to be.

    Attributes:
        before: as the plan has it.
        batch: as it is supposed.
        cut: the middling day of its first and of its last stem; None where it gives none.
        after: the plan with it.
        fuller: what it asks of beds that these have not, in sentences.
    """

    before: Batch
    batch: Batch
    cut: tuple[date, date] | None
    after: Plan
    fuller: tuple[str, ...]

    @property
    def changes(self) -> dict[str, str]:
        """The cells that would be written for it, by column."""
        then, now = self.before, self.batch
        days = {"sow_date": (then.sow_date, now.sow_date), "plant_out_date": (then.plant_out_date, now.plant_out_date)}
        found = {name: day.isoformat() for name, (old, day) in days.items() if day is not None and day != old}
        counts = {name: (getattr(then, name), getattr(now, name)) for name in ("sown", "plants", "metres", "trays")}
        return found | {name: f"{new:g}" for name, (old, new) in counts.items() if new is not None and new != old}


def shift_sowing(desk: Desk, asked: ShiftAsked) -> Shifted:
    """The plan with one sowing shifted.

    Only what is not begun can be moved or be larger; what grows can be supposed to fail.

    Raises:
        NotFound: there is no such sowing, or it is over.
        NotAccepted: it is begun already, too far, or before today.
        FolderRefused: the farm would have a fault with it.
    """
    plan = desk.plan()
    before = next((one for one in plan.farm.batches if one.key == asked.key and not one.is_over), None)
    if before is None:
        raise NotFound(kind=_("batch"), key=asked.key)
    batch = _supposed(before, asked, plan.today)
    require_sound(plan.farm, [batch])
    after = desk.planner.trial(plan, with_rows(plan.farm, [batch]))
    found = None if batch.is_over else cutting_days_of(after, batch.key)
    return Shifted(before, batch, found and found[:2], after, fuller_beds(plan, after))


def _supposed(before: Batch, asked: ShiftAsked, today: date) -> Batch:
    if asked.is_left_out:
        return replace(before, status=BatchStatus.LOST)
    if not asked.weeks and asked.places in (None, before.places):
        return before
    if before.status is not BatchStatus.PLANNED:
        accepted = _("a sowing that is not begun yet; of this one only that it fails")
        raise NotAccepted(where="sowing", found=_("one that grows already"), accepted=accepted)
    if abs(asked.weeks) > MOST_WEEKS:
        accepted = _("{most} weeks at most").format(most=MOST_WEEKS)
        raise NotAccepted(where="weeks", found=str(asked.weeks), accepted=accepted)
    later = timedelta(weeks=asked.weeks)
    batch = replace(
        before,
        sow_date=None if before.sow_date is None else before.sow_date + later,
        plant_out_date=None if before.plant_out_date is None else before.plant_out_date + later,
    )
    begun = batch.sow_date or batch.plant_out_date
    if asked.weeks and begun is not None and begun < today:
        raise NotAccepted(where="weeks", found=_("a day that is over"), accepted=_("a day from today on"))
    return batch if asked.places is None else _with_places(batch, asked.places)


def _with_places(batch: Batch, places: int) -> Batch:
    """The batch with other places; plants wanted, trays and metres of bed change in step."""
    if not 1 <= places <= MOST_PLACES:
        accepted = _("1 to {most} places").format(most=MOST_PLACES)
        raise NotAccepted(where="places", found=str(places), accepted=accepted)
    if batch.sown is None or batch.plants is None:
        plants, sown = (places, None) if batch.sown is None else (None, places)
    else:
        plants, sown = max(1, round(batch.plants * places / batch.sown)), places
    times = places / batch.places if batch.places else 1.0
    metres = None if batch.metres is None else max(0.1, round(batch.metres * times, 1))
    trays = None if batch.trays is None else max(0.1, round(batch.trays * times, 1))
    return replace(batch, sown=sown, plants=plants, metres=metres, trays=trays)
