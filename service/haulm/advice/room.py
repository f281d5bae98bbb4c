"""Bed and bench room: what stands where from when to when, and where one more batch would fit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.quantities import HAIR, whole_up
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, weeks_between
from haulm.farm.words import BedKind, Method
from haulm.kept import answers

_PLACES_PER_TRAY = 100
"""Cells of an ordinary tray where the farm's own batches name no trays (common practice)."""
_IN_PLACE = (Method.DIRECT, Method.TUBER, Method.ESTABLISHED)
_WEEK = timedelta(days=6)
_BEDS_KEPT = 256
BARE_BED = Bed("", "")
"""A bed of the usual width of which nothing else is known."""


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay of a batch in a place: metres of bed or trays of bench, from a day to a day inclusive."""

    place: str
    amount: float
    first: date
    last: date


LastStem = Callable[[Batch], date | None]
"""The day by which the last stem of a batch is there in four seasons of five; None where the calendar has to say."""


def _by_the_calendar(batch: Batch) -> None:
    """No forecast says when a batch ends."""


def bed_stay(batch: Batch, crop: Crop, beds: Mapping[str, Bed], last_stem: LastStem = _by_the_calendar) -> Stay | None:
    """The stay of a batch in its bed, to its last stem; None where bed or dates are not known."""
    if batch.bed is None or batch.bed not in beds or batch.is_over:
        return None
    dates = stay_dates(batch, crop, last_stem)
    if dates is None:
        return None
    metres = batch.metres if batch.metres is not None else metres_needed(batch.places, crop, beds[batch.bed])
    return Stay(batch.bed, metres, *dates)


def stay_dates(batch: Batch, crop: Crop, last_stem: LastStem) -> tuple[date, date] | None:
    """First and last day in the ground: to the last stem of the forecast, else by the calendar.

    The calendar counts from a sowing in mid-April: what is sown in autumn would leave before it flowers, and what is
    sown at midsummer would stay for weeks after its last stem.
    """
    dates = bed_dates(batch, crop)
    if dates is None or batch.method is Method.ESTABLISHED:
        return dates
    last = last_stem(batch)
    return dates if last is None else (dates[0], max(last, dates[0]))


def bed_dates(batch: Batch, crop: Crop) -> tuple[date, date] | None:
    """First and last day in the ground: from planting (sowing, where it is sown in place) to the end of its cutting.

    Source: the crop's weeks to flower and weeks of harvest, counted by the calendar (common practice).
    """
    if batch.method is Method.ESTABLISHED:
        return date.min, date.max
    sown = sow_day(batch, crop)
    if sown is None:
        return None
    last = sown + timedelta(weeks=crop.weeks_to_flower + crop.harvest_weeks)
    if batch.method in _IN_PLACE:
        return sown, last
    return plant_out_day(batch, crop, sown), last


def sow_day(batch: Batch, crop: Crop) -> date | None:
    """The day a batch is sown: as planned, else reckoned back from its planting, as for bought plants."""
    if batch.sow_date is not None or batch.plant_out_date is None:
        return batch.sow_date
    if batch.method in _IN_PLACE:
        return batch.plant_out_date
    return batch.plant_out_date - timedelta(weeks=crop.weeks_to_plant_out)


def plant_out_day(batch: Batch, crop: Crop, sown: date) -> date:
    """The day a batch leaves its tray: as planned, else by the crop's weeks in the tray."""
    if batch.plant_out_date is not None:
        return batch.plant_out_date
    return sown + timedelta(weeks=crop.weeks_to_plant_out)


def metres_needed(places: int, crop: Crop, bed: Bed) -> float:
    """Metres of bed that so many places take at the crop's spacing and rows [m]."""
    rows = max(1, math.floor(bed.width_cm / crop.row_cm))
    return places / rows * crop.spacing_cm / 100


def trays_needed(places: int, batches: Iterable[Batch]) -> float:
    """Trays that so many places take, at the farm's own usual number of places in a tray."""
    return whole_up(places / tray_size(batches))


def tray_size(batches: Iterable[Batch]) -> float:
    """The farm's own usual number of places in a tray."""
    sizes = sorted(batch.sown / batch.trays for batch in batches if batch.sown and batch.trays)
    return sizes[len(sizes) // 2] if sizes else _PLACES_PER_TRAY


@dataclass(frozen=True, slots=True)
class Fit:
    """A bed that has room for a batch: the metres it takes, what is spare then [m], and whether it is under cover."""

    bed: str
    metres: float
    spare: float
    tunnel: bool


@dataclass(frozen=True, slots=True)
class OverFull:
    """A bed that is asked for more than it has: the week, the metres asked at once in it, and those there are [m]."""

    bed: str
    week: Week
    asked: float
    metres: float


@dataclass(frozen=True, slots=True)
class Room:
    """What the beds and benches of a farm hold, and what of it is taken when.

    A farm that lists no beds is not held to any: its room is not known, so it never forbids.
    """

    beds: tuple[Bed, ...]
    in_beds: tuple[Stay, ...]
    on_benches: tuple[Stay, ...]
    last_stem: LastStem = _by_the_calendar

    @classmethod
    def of(
        cls,
        beds: Sequence[Bed],
        batches: Sequence[Batch],
        crops: Mapping[str, Crop],
        last_stem: LastStem = _by_the_calendar,
    ) -> Room:
        """The room of a farm under its plan."""
        by_key = {bed.key: bed for bed in beds}
        in_beds = (bed_stay(batch, crops[batch.variety], by_key, last_stem) for batch in batches)
        on_benches = (bench_stay(batch, crops[batch.variety]) for batch in batches)
        return cls(tuple(beds), tuple(s for s in in_beds if s), tuple(s for s in on_benches if s), last_stem)

    def with_batch(self, batch: Batch, crop: Crop) -> Room:
        """The room that is left once a batch has its place."""
        bed = bed_stay(batch, crop, {bed.key: bed for bed in self.beds}, self.last_stem)
        bench = bench_stay(batch, crop)
        return replace(
            self,
            in_beds=self.in_beds if bed is None else (*self.in_beds, bed),
            on_benches=self.on_benches if bench is None else (*self.on_benches, bench),
        )

    def bed_for(self, batch: Batch, crop: Crop) -> tuple[str, float] | None:
        """A bed with room for a batch from planting to the end of its cutting, and the metres it takes [m, in tenths].

        A bed in the open before one under cover, which is kept for what needs it; then the one with the least room
        left over, so that the large gaps stay; ties by key.
        """
        fits = [(fit.tunnel, fit.spare, fit.bed, fit.metres) for fit in self.fits(batch, crop)]
        if not fits:
            return None
        _, _, key, metres = min(fits)
        return key, metres

    def fits(self, batch: Batch, crop: Crop) -> Iterator[Fit]:
        """Every bed with room for a batch from planting to the end of its cutting."""
        dates = self.dates(batch, crop)
        for bed in self.beds if dates is not None else ():
            if dates is not None and bed.kind is not BedKind.BENCH and bed.metres is not None:
                metres = whole_up(metres_needed(batch.places, crop, bed) * 10) / 10
                spare = bed.metres - _peak(self.in_beds, bed.key, *dates) - metres
                if spare >= -HAIR:
                    yield Fit(bed.key, metres, spare, bed.kind is BedKind.TUNNEL)

    def dates(self, batch: Batch, crop: Crop) -> tuple[date, date] | None:
        """First and last day of a batch in the ground; None where its dates are not known."""
        return stay_dates(batch, crop, self.last_stem)

    def over_full(self, first: date, last: date) -> tuple[OverFull, ...]:
        """The weeks in which a bed is asked for more metres than it has, by bed and week.

        A bed whose length the farm does not say is never over-full.
        """
        own: dict[str, list[Stay]] = {bed.key: [] for bed in self.beds}
        for stay in self.in_beds:
            own[stay.place].append(stay)
        return tuple(
            found
            for bed in self.beds
            if bed.kind is not BedKind.BENCH
            for found in _over_full_weeks(bed, tuple(own[bed.key]), first, last)
        )

    def taken(self, bed: str, week: Week) -> float:
        """The most metres of a bed that are taken at once in a week [m]."""
        return _peak(self.in_beds, bed, week.monday, week.monday + _WEEK)

    @property
    def counts_beds(self) -> bool:
        """Whether the farm says how long its beds are."""
        return any(bed.metres is not None for bed in self.beds if bed.kind is not BedKind.BENCH)

    def has_bench_for(self, batch: Batch, crop: Crop, trays: float) -> bool:
        """Whether so many more trays fit on the benches from sowing to planting out."""
        if batch.method in (*_IN_PLACE, Method.PLUGS) or batch.sow_date is None:
            return True
        room = self.trays
        if room is None:
            return True
        taken = _peak(self.on_benches, "", batch.sow_date, plant_out_day(batch, crop, batch.sow_date))
        return taken + trays <= room + HAIR

    @property
    def trays(self) -> int | None:
        """Trays that all benches hold; None where the farm does not say."""
        found = [bed.trays for bed in self.beds if bed.trays is not None]
        return sum(found) if found else None


@answers(_BEDS_KEPT)
def _over_full_weeks(bed: Bed, stays: tuple[Stay, ...], first: date, last: date) -> tuple[OverFull, ...]:
    """The weeks in which stays ask one bed for more than it has; one change of a plan leaves most beds as they were."""
    if bed.metres is None:
        return ()
    return tuple(
        OverFull(bed.key, week, asked, bed.metres)
        for week in weeks_between(Week.of(first), Week.of(last))
        if (asked := _peak(stays, bed.key, week.monday, week.monday + _WEEK)) > bed.metres + HAIR
    )


def bench_stay(batch: Batch, crop: Crop) -> Stay | None:
    """The stay of a batch's trays on the benches, whichever; None where it has none or its dates are not known."""
    if batch.trays is None or batch.sow_date is None or batch.method in _IN_PLACE or batch.is_over:
        return None
    last = plant_out_day(batch, crop, batch.sow_date) - timedelta(days=1)
    return Stay("", batch.trays, batch.sow_date, last)


def _peak(stays: Sequence[Stay], place: str, first: date, last: date) -> float:
    """The most that is taken of a place at once between two days; it can only rise where a stay begins."""
    here = [stay for stay in stays if stay.place == place and stay.first <= last and stay.last >= first]
    days = {first, *(stay.first for stay in here if stay.first > first)}
    return max((sum(s.amount for s in here if s.first <= day <= s.last) for day in days), default=0.0)
