"""What a farm that is being entered already says: when its kinds could flower, what its beds hold, what is short."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.candidates import sowing_rules
from haulm.advice.room import metres_needed
from haulm.evidence.climate import climate_of
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind, LifeCycle, Method
from haulm.forecast.inputs import ClimateMissing
from haulm.forecast.supply import forecast
from haulm.horticulture.sowing_windows import sowable
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DayNotServed
from haulm.jobs.growing.batch_forecast import cutting_days_in
from haulm.jobs.promises.ask_on_the_spot import SpotAnswer, SpotAsked, ask_on_the_spot
from haulm.planning.growth import Drawing, doubted_setting, sowing_of
from haulm.planning.keeping import crops_of

_SEASONS, _SEED = 100, 1
_TRIED_EVERY = timedelta(weeks=3)
_TRIED_AHEAD = timedelta(days=364)
_PLACES = 50
MOST_KINDS_TOLD = 12
"""The kinds that were picked last: each costs a good tenth of a second."""
_MOST_SEASONS = 0.5
"""A sowing counts where at least so many seasons give stems."""


@dataclass(frozen=True, slots=True)
class InFlower:
    """When a kind could be in flower, were it sown or planted from now on; no days where it never would be."""

    crop: Crop
    first: date | None
    last: date | None
    next_year: bool


@dataclass(frozen=True, slots=True)
class OutdoorSeason:
    """From when to when kinds of a sort may be sown in the open, by the farm's frost days."""

    life_cycle: LifeCycle
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class ToldKind:
    """What may be promised of a kind for a day; no answer, and why, where no cut day can serve it."""

    crop: Crop
    answer: SpotAnswer | None
    why_not: str = ""


def kinds_in_flower(farm: Farm, today: date) -> tuple[InFlower, ...]:
    """When the farm's last kinds could flower, tried every three weeks of the coming year; none without a climate."""
    crops = crops_of(farm)
    told = farm.varieties[-MOST_KINDS_TOLD:]
    tried = {variety.key: tuple(_tried(farm, crops[variety.key], today)) for variety in told}
    sowings = [sowing_of(farm, one, crops[one.variety]) for batches in tried.values() for one in batches]
    try:
        drawn = forecast(sowings, climate_of(farm), doubted_setting(farm, today, Drawing(_SEASONS, _SEED)))
    except ClimateMissing:
        return ()
    found = []
    for key, batches in tried.items():
        cut = [days for one in batches if (days := cutting_days_in(drawn, one.key, today)) is not None]
        good = [days for days in cut if days[2] >= _MOST_SEASONS]
        first = min((days[0] for days in good), default=None)
        this_year = [days[1] for days in good if first is not None and days[0].year == first.year]
        last = max(this_year, default=None)
        found.append(InFlower(crops[key], first, last, first is not None and first.year > today.year))
    return tuple(found)


def _tried(farm: Farm, crop: Crop, today: date) -> Iterator[Batch]:
    """Sowings of a kind that are in season, one every three weeks from today for a year."""
    method = Method.TUBER if crop.life_cycle is LifeCycle.BULB_TUBER else Method.COVER
    rules = sowing_rules(farm.site, crop.life_cycle)
    for number in range(_TRIED_AHEAD // _TRIED_EVERY):
        day = today + number * _TRIED_EVERY
        if sowable(method, day, life_cycle=crop.life_cycle, latitude_deg=farm.site.latitude, rules=rules):
            yield Batch(f"{crop.key}-{number}", crop.key, sow_date=day, method=method, sown=_PLACES)


def outdoor_seasons(farm: Farm, today: date) -> tuple[OutdoorSeason, ...]:
    """When hardy and tender annuals may be sown in the open in the growing year of a day."""
    begins = date(today.year, 7, 1) if farm.site.is_south else date(today.year, 1, 1)
    found = []
    for life_cycle in (LifeCycle.HARDY_ANNUAL, LifeCycle.TENDER_ANNUAL):
        rules, latitude = sowing_rules(farm.site, life_cycle), farm.site.latitude
        days = [begins + timedelta(number) for number in range(365)]
        good = [d for d in days if sowable(Method.DIRECT, d, life_cycle=life_cycle, latitude_deg=latitude, rules=rules)]
        if good:
            found.append(OutdoorSeason(life_cycle, good[0], good[-1]))
    return tuple(found)


def metres_of(farm: Farm) -> float:
    """Metres of bed of the farm, benches apart."""
    return sum(bed.metres or 0.0 for bed in farm.beds if bed.kind is not BedKind.BENCH)


def places_at_once(farm: Farm) -> tuple[tuple[str, int], ...]:
    """How many places of each kind would fill all the beds at one time, the farm's first kinds only."""
    beds = [bed for bed in farm.beds if bed.kind is not BedKind.BENCH and bed.metres]
    crops = crops_of(farm)
    return tuple((crop.name, sum(_held(bed, crop) for bed in beds)) for crop in list(crops.values())[:3])


def _held(bed: Bed, crop: Crop) -> int:
    return int((bed.metres or 0.0) / metres_needed(1, crop, bed))


def may_promise_on(desk: Desk, day: date) -> tuple[ToldKind, ...]:
    """What may be promised of each kind for a day, each by itself.

    Raises:
        DatePassed: the day is over.
    """
    crops = desk.plan().crops
    return tuple(_told(desk, crops[variety.key], day) for variety in desk.store.farm().varieties)


def _told(desk: Desk, crop: Crop, day: date) -> ToldKind:
    line = OrderLine("line", "spot", 1, product=Product(crop.key))
    try:
        return ToldKind(crop, ask_on_the_spot(desk, SpotAsked(line, day)))
    except DayNotServed as refusal:
        return ToldKind(crop, None, refusal.sentence)
