"""Sowings as a rhythm: one kind, again and again, each sowing as a single one has it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.advice.room import metres_needed, trays_needed
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.limits import Limits
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, Method

WEEKS_BETWEEN = Limits(1, 26)
"""How many weeks may lie between two sowings of a rhythm."""
MOST_SOWINGS = 40
"""More is no rhythm of a year, but a slip of a date."""
_ON_A_BENCH = (Method.HEATED, Method.COVER)


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A kind sown every so many weeks.

    Attributes:
        variety: its key.
        first: the day of the first sowing; of bought plants, of the first planting.
        last: no sowing after this day.
        every_weeks: weeks from one to the next.
        places: places sown each time (cell, pot, clump, station), never seeds.
        method: how each is started.
        form: what its stems are grown for.
    """

    variety: str
    first: date
    last: date
    every_weeks: int
    places: int
    method: Method
    form: Form = Form.FRESH


def rhythm_days(rhythm: Rhythm) -> tuple[date, ...]:
    """The days of a rhythm, the first of them first; none where it ends before it begins.

    Args:
        rhythm: the rhythm.

    Returns:
        Days, `every_weeks` weeks apart, none after the last.

    Source: definition.
    """
    step = timedelta(weeks=rhythm.every_weeks)
    count = max(0, (rhythm.last - rhythm.first) // step + 1)
    return tuple(rhythm.first + number * step for number in range(count))


def rhythm_batches(
    rhythm: Rhythm, keys: Collection[str], *, crop: Crop, bed: Bed | None = None, batches: Collection[Batch] = ()
) -> tuple[Batch, ...]:
    """The batches of a rhythm, each complete as a single sowing is.

    Args:
        rhythm: the rhythm.
        keys: a key for each of its days, in order.
        crop: its kind.
        bed: the bed all of them are for; None where that is left open.
        batches: the farm's batches, for the usual size of its trays.

    Returns:
        One batch for each day: with trays where it begins on a bench, with metres where it has a bed. Bought plants
        have a day of planting and none of sowing.

    Source: `metres_needed`, `trays_needed`.
    """
    days = rhythm_days(rhythm)
    assert len(days) == len(keys), "each sowing of a rhythm has a key of its own"
    trays = float(trays_needed(rhythm.places, batches)) if rhythm.method in _ON_A_BENCH else None
    metres = round(metres_needed(rhythm.places, crop, bed), 1) if bed is not None and bed.metres is not None else None
    whole = Batch(
        key="",
        variety=rhythm.variety,
        method=rhythm.method,
        form=rhythm.form,
        trays=trays,
        bed=None if bed is None else bed.key,
        metres=metres,
    )
    if rhythm.method is Method.PLUGS:
        whole = replace(whole, plants=rhythm.places)
        return tuple(replace(whole, key=key, plant_out_date=day) for key, day in zip(keys, days, strict=True))
    whole = replace(whole, sown=rhythm.places)
    return tuple(replace(whole, key=key, sow_date=day) for key, day in zip(keys, days, strict=True))
