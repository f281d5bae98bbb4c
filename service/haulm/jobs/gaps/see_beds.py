"""The beds over the year ahead: metres taken week by week, growing and being cut, what is free and what is too many."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.room import Stay, bed_stay
from haulm.errors import NotFound
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.quantities import HAIR
from haulm.farm.weeks import Week
from haulm.farm.words import BatchStatus, BedKind, Method, RecordKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.over_full_beds import over_full_beds
from haulm.jobs.growing.batch_forecast import cutting_days_of
from haulm.jobs.growing.label_sowings import germination_window
from haulm.language.words import _
from haulm.planning.plan import Plan

WEEKS = 52
_WEEK = timedelta(days=6)
_SEEN_UP = (RecordKind.GERMINATED, RecordKind.STANDING, RecordKind.FIRST_CUT, RecordKind.CUT)


@dataclass(frozen=True, slots=True)
class BedWeek:
    """A bed in one week: metres taken at once, how many of them are cut, how many are sown and not up yet [m]."""

    week: Week
    taken: float
    cutting: float
    sown: float


@dataclass(frozen=True, slots=True)
class BedSowing:
    """A sowing in a bed.

    Attributes:
        batch: the sowing.
        metres: what it takes [m].
        first, last: its days there.
        cut: the middling days of its first and last stem; None where it gives none.
        up: the day by which most of what is sown there is up; None for what comes there as plants.
    """

    batch: Batch
    metres: float
    first: date
    last: date
    cut: tuple[date, date] | None
    up: date | None


@dataclass(frozen=True, slots=True)
class SeenBed:
    """A bed over the year ahead.

    Attributes:
        bed: the bed.
        weeks: its weeks.
        sowings: what stands or will stand in it, by day.
        too_many: that it is asked for more than it has, in a sentence; None where it is not.
    """

    bed: Bed
    weeks: tuple[BedWeek, ...]
    sowings: tuple[BedSowing, ...]
    too_many: str | None

    @property
    def most(self) -> float:
        """The most that is asked of it at once [m]."""
        return max(week.taken for week in self.weeks)

    @property
    def free(self) -> float | None:
        """Metres that are free in every week [m]; None where its length is not known."""
        return None if self.bed.metres is None else max(0.0, self.bed.metres - self.most)

    @property
    def says(self) -> str:
        """What matters most of it."""
        if self.bed.metres is None:
            return _("its length is not known")
        over = self.most - self.bed.metres
        if over > HAIR:
            return _("{metres} m too many").format(metres=f"{over:.3g}")
        return _("{metres} m free all the time").format(metres=f"{self.free:.3g}")


def see_beds(desk: Desk) -> tuple[SeenBed, ...]:
    """Every bed that is no bench, in the farm's order."""
    plan = desk.plan()
    sentences = {bed.bed: bed.sentence for bed in over_full_beds(plan)}
    found: dict[str, list[BedSowing]] = {}
    for sowing in _sowings(plan):
        found.setdefault(sowing.batch.bed or "", []).append(sowing)
    return tuple(
        _seen(plan, bed, tuple(found.get(bed.key, ())), sentences.get(bed.key))
        for bed in plan.farm.beds
        if bed.kind is not BedKind.BENCH
    )


def see_bed(desk: Desk, key: str) -> SeenBed:
    """One bed.

    Raises:
        NotFound: the farm has no such bed, or it is a bench.
    """
    found = next((one for one in see_beds(desk) if one.bed.key == key), None)
    if found is None:
        raise NotFound(kind=_("bed"), key=key)
    return found


def _seen(plan: Plan, bed: Bed, sowings: tuple[BedSowing, ...], too_many: str | None) -> SeenBed:
    weeks = [Week.of(plan.today).plus(number) for number in range(WEEKS)]
    return SeenBed(bed, tuple(_week(plan, bed, sowings, week) for week in weeks), sowings, too_many)


def _week(plan: Plan, bed: Bed, sowings: tuple[BedSowing, ...], week: Week) -> BedWeek:
    taken = plan.room.taken(bed.key, week)
    cutting = _cut(sowings, week, taken)
    # A week in which a sowing comes up is one of those in which it grows.
    bare = (one.metres for one in sowings if one.up and one.first <= week.monday + _WEEK < one.up)
    return BedWeek(week, taken, cutting, min(taken - cutting, sum(bare)))


def _cut(sowings: tuple[BedSowing, ...], week: Week, taken: float) -> float:
    """Metres being cut in a week, never more than are taken at once [m]."""
    ends = week.monday + _WEEK
    cut = (one.metres for one in sowings if one.cut and one.cut[0] <= ends and one.cut[1] >= week.monday)
    return min(taken, sum(cut))


def _sowings(plan: Plan) -> Iterator[BedSowing]:
    beds, until = {bed.key: bed for bed in plan.farm.beds}, plan.today + timedelta(weeks=WEEKS)
    stays: list[tuple[Batch, Stay]] = []
    for batch in plan.growth.seen.batches:
        stay = bed_stay(batch, plan.crops[batch.variety], beds, plan.room.last_stem)
        if stay is not None and stay.last >= plan.today and stay.first < until:
            stays.append((batch, stay))
    for batch, stay in sorted(stays, key=lambda one: (one[1].first, one[0].key)):
        found = cutting_days_of(plan, batch.key)
        cut = None if found is None else (found[0], min(found[1], stay.last))
        yield BedSowing(batch, stay.amount, stay.first, stay.last, cut, _up(plan, batch))


def _up(plan: Plan, batch: Batch) -> date | None:
    """The day by which a sowing in its bed is mostly up: as was seen, else as is usual of the kind."""
    if batch.method is not Method.DIRECT or batch.sow_date is None:
        return None
    seen = (one.date for one in plan.farm.records if one.batch == batch.key and one.kind in _SEEN_UP)
    usual = germination_window(batch.method, plan.crops[batch.variety], batch.sow_date).usual
    if batch.status in (BatchStatus.PLANTED, BatchStatus.CUTTING):
        return batch.sow_date
    return min(seen, default=usual)
