"""What was sprayed on stems that go out, in sentences for whoever strips them; what the farm wrote down, no advice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from haulm.advice.room import bed_dates
from haulm.farm.batches import Batch
from haulm.farm.beds import Spray
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import day_in_words
from haulm.farm.words import BatchStatus
from haulm.language.words import _, marked

LABEL_AND_LAW = marked("Of sprays, follow the label and the law of the place.")
_LOOKED_BACK = timedelta(days=365)

Cut = tuple[Product, date | None]
"""Stems by product, and the day they were cut; None where they stood in the field still."""


def sprays_on(farm: Farm, crops: Mapping[str, Crop], stems: Iterable[Cut], out: date) -> tuple[str, ...]:
    """A sentence for each spray of a bed where the kinds of stems stood that day, then what to do; none without.

    Which bed a stem came from is not kept, so a spray of any bed of its kind is told; sprays more than a year old and
    those after the stems were cut are not.
    """
    last_cut: dict[str, date] = {}
    for product, cut in stems:
        last_cut[product.variety] = max(last_cut.get(product.variety, date.min), out if cut is None else cut)
    told = [
        _sentence(farm, spray, names, out)
        for spray in sorted(farm.sprays, key=lambda spray: (spray.date, spray.key))
        if out - _LOOKED_BACK <= spray.date <= out and (names := sorted(set(_hit(farm, crops, spray, last_cut))))
    ]
    return (*told, _(LABEL_AND_LAW)) if told else ()


def _hit(farm: Farm, crops: Mapping[str, Crop], spray: Spray, last_cut: Mapping[str, date]) -> Iterator[str]:
    """The names of kinds that stood in the bed on the day, of which stems were cut that day or later."""
    for batch in farm.batches:
        crop = crops.get(batch.variety)
        if batch.bed != spray.bed or crop is None or last_cut.get(batch.variety, date.min) < spray.date:
            continue
        if batch.status is not BatchStatus.LOST and _stood(batch, crop, spray.date):
            yield crop.name


def _stood(batch: Batch, crop: Crop, day: date) -> bool:
    """Whether it may have been in the ground by a day; of what has no dates nobody knows, so it may."""
    days = bed_dates(batch, crop)
    return days is None or days[0] <= day


def _sentence(farm: Farm, spray: Spray, names: list[str], out: date) -> str:
    bed = next((bed.name for bed in farm.beds if bed.key == spray.bed), spray.bed)
    what = f", {spray.note}" if spray.note else ""
    waiting = (
        _("the label's waiting time ended on {day}")
        if spray.wait_until < out
        else _("the label's waiting time runs, with nothing cut there meanwhile, through {day}")
    ).format(day=day_in_words(spray.wait_until))
    return _("Sprayed: {names} in {bed} on {date}{what}; {waiting}.").format(
        names=", ".join(names), bed=bed, date=day_in_words(spray.date), what=what, waiting=waiting
    )
