"""What stands on the labels of trays and beds: what was sown, when it should be up, and how long to keep it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.advice.room import bed_dates, plant_out_day, sow_day
from haulm.errors import NotAccepted, NotFound
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.varieties import Crop
from haulm.farm.words import Method
from haulm.horticulture.germination import (
    HEATED_SHARE_OF_DAYS,
    SPREAD_HEATED,
    SPREAD_OUTDOORS,
    germination_delay,
)
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _

FROM_TRAYS = (Method.HEATED, Method.COVER)
_Z = np.array([-1.2816, 0.0, 1.2816])
"""Normal scores of the 10th, 50th and 90th percentile."""
_KEEP_TIMES, _KEEP_DAYS = 2, 28
"""A tray is kept twice as long as a slow one takes, and four weeks at least [d] (from memory)."""
_AROUND = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class GerminationWindow:
    """When a sowing should come up, nine times in ten not before or after, and until when its tray is kept."""

    first: date
    usual: date
    last: date
    keep_until: date


@dataclass(frozen=True, slots=True)
class TrayLabel:
    """One sowing in trays."""

    batch: Batch
    crop: Crop
    sown: date
    window: GerminationWindow
    plant_out: date


@dataclass(frozen=True, slots=True)
class BedLabel:
    """A bed with the batches that stand, or will stand, in it; each with its kind and its days in the ground."""

    bed: Bed
    batches: tuple[tuple[Batch, Crop, date | None], ...]


def germination_window(method: Method, crop: Crop, sown: date) -> GerminationWindow:
    """The days between which a sowing comes up.

    Source: the delay of the forecast (`germination_delay`), its 10th, 50th and 90th percentile.
    """
    heated = method is Method.HEATED
    mean = crop.germination_days * (HEATED_SHARE_OF_DAYS if heated else 1.0)
    first, usual, last = (
        math.ceil(float(days)) for days in germination_delay(mean, SPREAD_HEATED if heated else SPREAD_OUTDOORS, _Z)
    )
    keep = sown + timedelta(days=max(_KEEP_DAYS, _KEEP_TIMES * last))
    return GerminationWindow(sown + timedelta(first), sown + timedelta(usual), sown + timedelta(last), keep)


def label_trays(desk: Desk, first: date | None = None, last: date | None = None) -> tuple[TrayLabel, ...]:
    """The sowings in trays that were or will be sown between two days; two weeks around today unless said.

    Raises:
        NotAccepted: the last day lies before the first.
    """
    plan = desk.plan()
    start = first if first is not None else (last or plan.today) - _AROUND
    end = last if last is not None else max(start, plan.today) + _AROUND
    if end < start:
        raise NotAccepted(where="to", found=str(end), accepted=_("{start} or later").format(start=start))
    found = [
        TrayLabel(
            batch,
            crop,
            batch.sow_date,
            germination_window(batch.method, crop, batch.sow_date),
            plant_out_day(batch, crop, batch.sow_date),
        )
        for batch in plan.growth.seen.batches
        if batch.sow_date is not None and start <= batch.sow_date <= end and batch.method in FROM_TRAYS
        if (crop := plan.crops[batch.variety]) and not batch.is_over
    ]
    return tuple(sorted(found, key=lambda label: (label.sown, label.crop.name, label.batch.key)))


def label_beds(desk: Desk, key: str | None = None) -> tuple[BedLabel, ...]:
    """The beds, or one of them, in the order of walking, with what stands in them and what is planned for them.

    Raises:
        NotFound: there is no such bed.
    """
    plan = desk.plan()
    beds = [bed for bed in plan.farm.beds if key in (None, bed.key)]
    if key is not None and not beds:
        raise NotFound(kind=_("bed"), key=key)
    beds.sort(key=lambda bed: (bed.walk is None, bed.walk or 0, bed.key))
    labels = []
    for bed in beds:
        batches = [
            (batch, plan.crops[batch.variety], _in_ground_from(batch, plan.crops[batch.variety]))
            for batch in plan.growth.seen.batches
            if batch.bed == bed.key and not batch.is_over
        ]
        batches.sort(key=lambda item: (item[2] or date.max, item[0].key))
        labels.append(BedLabel(bed, tuple(batches)))
    return tuple(label for label in labels if label.batches)


def _in_ground_from(batch: Batch, crop: Crop) -> date | None:
    """The day it goes, or went, into the ground; None for what has always stood there, or has no date."""
    if batch.method is Method.ESTABLISHED or sow_day(batch, crop) is None:
        return None
    days = bed_dates(batch, crop)
    return None if days is None else days[0]
