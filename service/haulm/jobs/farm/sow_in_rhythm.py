"""Sow a kind as a rhythm: the sowings shown before they are written, then all of them in one entry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.rhythm import MOST_SOWINGS, WEEKS_BETWEEN, Rhythm, rhythm_batches, rhythm_days
from haulm.advice.room import Room, plant_out_day
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.faults import Fault
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind, Method
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.new_keys import new_key
from haulm.jobs.growing.batch_forecast import cutting_days_in
from haulm.language.words import _
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork

SOWN = "rhythm-sown"
"""The entry of a rhythm, whatever number of sowings it has."""
ANY_BED = "*"
"""Stands for a bed: each sowing in the one that has room for it."""
_MOST_YEARS_AHEAD = 3
_IN_PLACE = (Method.DIRECT, Method.TUBER)


@dataclass(frozen=True, slots=True)
class RhythmAsked:
    """A rhythm as somebody asks for it.

    Attributes:
        rhythm: kind, days, places and method.
        bed: key of the bed all of them are for; `ANY_BED`: each where there is room; None: left open.
    """

    rhythm: Rhythm
    bed: str | None = None


@dataclass(frozen=True, slots=True)
class RhythmSowing:
    """One sowing of a rhythm before it is written.

    Attributes:
        batch: the batch as it would be written.
        planted: the day it leaves its tray; None where it is sown where it stays.
        cut: the middling day of its first and of its last stem; None where no season gives a stem, or nobody knows.
        sure: the share of seasons that give any, 0-1; None likewise.
    """

    batch: Batch
    planted: date | None
    cut: tuple[date, date] | None
    sure: float | None


@dataclass(frozen=True, slots=True)
class ShownRhythm:
    """A rhythm before it is written.

    Attributes:
        crop: its kind.
        sowings: its sowings, by day.
        before: the plan as it stands.
        after: the plan with them.
    """

    crop: Crop
    sowings: tuple[RhythmSowing, ...]
    before: Plan
    after: Plan


def show_rhythm(desk: Desk, asked: RhythmAsked) -> ShownRhythm:
    """What a rhythm would be, sowing by sowing. Nothing is written.

    Raises:
        FolderRefused: kind or bed is not the farm's, the days cannot be, or a sowing would not be accepted.
    """
    plan = desk.plan()
    batches = _batches(plan, asked)
    require_sound(plan.farm, batches)
    tried = desk.planner.trial(plan, with_rows(plan.farm, batches))
    crop = tried.crops[asked.rhythm.variety]
    drawn = plan.growth.forecast
    if drawn is not None:
        more = [sowing_of(tried.farm, batch, crop) for batch in batches]
        drawn = drawn.with_sowings([*drawn.sowings, *more])
    found = (None if drawn is None else cutting_days_in(drawn, one.key, plan.growth.first_day) for one in batches)
    sowings = (_sowing(batch, crop, days) for batch, days in zip(batches, found, strict=True))
    return ShownRhythm(crop, tuple(sowings), plan, tried)


def sow_in_rhythm(desk: Desk, work: UnitOfWork, asked: RhythmAsked) -> tuple[Batch, ...]:
    """Write every sowing of a rhythm, all or none, under one entry of the journal.

    Raises:
        FolderRefused: kind or bed is not the farm's, the days cannot be, or a sowing is not accepted.
    """
    batches = _batches(desk.plan_of(work.farm), asked)
    require_sound(work.farm, batches)
    seq = work.enter(SOWN, f"varieties/{asked.rhythm.variety}", {"batches": [batch.key for batch in batches]})
    for batch in batches:
        work.put(batch, entry=seq)
    return batches


def _sowing(batch: Batch, crop: Crop, found: tuple[date, date, float] | None) -> RhythmSowing:
    planted = None if batch.method in _IN_PLACE else batch.plant_out_date
    if batch.sow_date is not None and batch.method not in _IN_PLACE:
        planted = plant_out_day(batch, crop, batch.sow_date)
    return RhythmSowing(batch, planted, found and found[:2], found and found[2])


def _batches(plan: Plan, asked: RhythmAsked) -> tuple[Batch, ...]:
    farm, rhythm = plan.farm, asked.rhythm
    faults = tuple(_faults(farm, asked, plan.today))
    if faults:
        raise FolderRefused(faults=faults)
    crop = plan.crops[rhythm.variety]
    bed = next((one for one in farm.beds if one.key == asked.bed), None)
    keys: list[str] = []
    taken = farm
    for day in rhythm_days(rhythm):
        key = new_key(taken, "batches", {"variety": rhythm.variety, "sow_date": day.isoformat()})
        taken = with_rows(taken, [Batch(key, rhythm.variety)])
        keys.append(key)
    batches = rhythm_batches(rhythm, keys, crop=crop, bed=bed, batches=farm.batches)
    return _where_there_is_room(batches, plan.room, crop) if asked.bed == ANY_BED else batches


def _where_there_is_room(batches: tuple[Batch, ...], room: Room, crop: Crop) -> tuple[Batch, ...]:
    """Each in the bed that has room for it while it stands; one for which none has stays without."""
    found: list[Batch] = []
    for batch in batches:
        bed = room.bed_for(batch, crop) if room.counts_beds else None
        found.append(batch if bed is None else replace(batch, bed=bed[0], metres=bed[1]))
        room = room.with_batch(found[-1], crop)
    return tuple(found)


def _faults(farm: Farm, asked: RhythmAsked, today: date) -> Iterator[Fault]:
    """What is wrong with a rhythm as a whole, by the name of what was asked."""
    rhythm = asked.rhythm
    if all(variety.key != rhythm.variety for variety in farm.varieties):
        yield Fault("rhythm", None, "variety", f"'{rhythm.variety}'", _("a kind that the farm grows"))
    bed = next((one for one in farm.beds if one.key == asked.bed), None)
    if asked.bed not in (None, ANY_BED) and (bed is None or bed.kind is BedKind.BENCH):
        yield Fault("rhythm", None, "bed", f"'{asked.bed}'", _("a bed of the farm, not a bench"))
    if rhythm.method is Method.ESTABLISHED:
        yield Fault("rhythm", None, "method", _("plants that stand already"), _("a way of sowing or planting"))
    if rhythm.places < 1:
        yield Fault(
            "rhythm", None, "sown", _("{places} places").format(places=rhythm.places), _("a whole number from 1 on")
        )
    yield from _fault_of_days(rhythm, today)


def _fault_of_days(rhythm: Rhythm, today: date) -> Iterator[Fault]:
    if not WEEKS_BETWEEN.hold(rhythm.every_weeks):
        yield Fault(
            "rhythm",
            None,
            "every",
            _("{weeks} weeks").format(weeks=rhythm.every_weeks),
            _("weeks, {range}").format(range=WEEKS_BETWEEN.sentence),
        )
    elif rhythm.last < rhythm.first:
        yield Fault(
            "rhythm",
            None,
            "last",
            _("{last}, before the first").format(last=rhythm.last),
            _("a day on or after the first sowing"),
        )
    elif len(rhythm_days(rhythm)) > MOST_SOWINGS:
        found = _("{count} sowings").format(count=len(rhythm_days(rhythm)))
        yield Fault("rhythm", None, "last", found, _("{most} sowings at most").format(most=MOST_SOWINGS))
    if abs(rhythm.first.year - today.year) > _MOST_YEARS_AHEAD:
        yield Fault(
            "rhythm",
            None,
            "first",
            _("the year {year}").format(year=rhythm.first.year),
            _("a day within {years} years").format(years=_MOST_YEARS_AHEAD),
        )
