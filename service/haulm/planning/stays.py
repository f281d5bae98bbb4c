"""How long batches stand in their beds: to the last stem that the forecast gives them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.room import LastStem, Room
from haulm.farm.batches import Batch
from haulm.farm.snapshot import Farm
from haulm.forecast.latent import Latent
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast
from haulm.kept import Kept
from haulm.matching.supply import IntArray
from haulm.planning.growth import Growth, sowing_of

CLEARED_SHARE = 0.8
"""A bed is counted on for what comes next from the day by which the last stem was there in this share of seasons."""
_LOOKED_AT = 50
"""So many seasons, evenly picked, are enough for a day on which a bed is cleared."""
_STAYS_KEPT = 1024


@dataclass(frozen=True, slots=True)
class Stood:
    """What is known of how long batches stand in another growth."""

    growth: Growth
    last_stem: LastStem


_DayKey = tuple[str, str, date | None, date | None, str | None]


def room_in(farm: Farm, growth: Growth, before: Stood | None = None) -> Room:
    """The beds and benches of a farm, and what its batches take of them to their last stem.

    A batch that gives none in any season, or has no forecast, stands by the calendar of its kind. `before` is what is
    known of another growth: what gives the same stems stands as long. The answer is the same without it.
    """
    return Room.of(farm.beds, growth.seen.batches, growth.crops, last_stem_of(farm, growth, before))


def last_stem_of(farm: Farm, growth: Growth, before: Stood | None = None) -> LastStem:
    """The day by which a batch of the plan, or one that might be added to it, has given its last stem."""
    alike = frozenset[str]() if before is None else _alike(before.growth, growth)
    known: Kept[_DayKey, tuple[date | None]] = Kept(_STAYS_KEPT)
    planned = {batch.key: batch for batch in growth.seen.batches}

    def last_stem(batch: Batch) -> date | None:
        if growth.forecast is None or growth.forecast.seasons is None:
            return None
        own = planned.get(batch.key) == batch
        if before is not None and own and batch.key in alike:
            return before.last_stem(batch)
        key = (batch.key if own else "", batch.variety, batch.sow_date, batch.plant_out_date, batch.method)
        return known.of(key, lambda: (_last_stem(farm, growth, batch, own=own),))[0]

    return last_stem


def _alike(before: Growth, now: Growth) -> frozenset[str]:
    """The batches that give the very same stems in two growths, in the same seasons over the same days."""
    then, drawn = before.forecast, now.forecast
    if then is None or drawn is None or then.seasons is None or drawn.seasons is None:
        return frozenset()
    days = (before.first_day, before.days, then.seasons.span.first, then.setting.seasons)
    if days != (now.first_day, now.days, drawn.seasons.span.first, drawn.setting.seasons):
        return frozenset()
    if not np.array_equal(then.weights, drawn.weights):
        return frozenset()
    # What has not changed is taken over as it is, so the very same object says the same.
    rows = {batch.key: batch for batch in before.seen.batches}
    old, new = _growings(then), _growings(drawn)
    return frozenset(
        batch.key
        for batch in now.seen.batches
        if rows.get(batch.key) == batch and _is_same(new.get(batch.key, ()), old.get(batch.key, ()))
    )


def _growings(drawn: Forecast) -> dict[str, list[Latent]]:
    """What a batch gives, by its key."""
    found: dict[str, list[Latent]] = {}
    for latent in drawn.latents:
        found.setdefault(latent.key, []).append(latent)
    return found


def _is_same(some: Sequence[Latent], others: Sequence[Latent]) -> bool:
    return len(some) == len(others) and all(one is other for one, other in zip(some, others, strict=True))


def _last_stem(farm: Farm, growth: Growth, batch: Batch, *, own: bool) -> date | None:
    drawn = growth.forecast
    assert drawn is not None, "asked only where there is a forecast"
    every = max(1, drawn.setting.seasons // _LOOKED_AT)
    if own:
        found = drawn.stems_of(batch.key, growth.first_day, growth.days, every=every)
    else:
        in_the_open = replace(batch, key="stay", bed=None)
        sowing = sowing_of(farm, in_the_open, growth.crops[batch.variety])
        found = drawn.batch_ready_stems(sowing, growth.first_day, growth.days, every=every)
    last = _last_rows(found.values(), growth.days)
    given = last >= 0
    if not given.any():
        return None
    weights = drawn.weights[::every][given]
    row = quantiles(last[given][np.newaxis, :], (CLEARED_SHARE,), weights / weights.sum())[0, 0]
    return growth.first_day + timedelta(days=int(row))


def _last_rows(stems: Iterable[IntArray], days: int) -> IntArray:
    """The row of the last day with a stem in each season, -1 where there is none, shape (seasons,)."""
    some: Sequence[IntArray] = [array.astype(bool) for array in stems]
    if not some:
        return np.full(1, -1, np.int32)
    any_length = np.logical_or.reduce(some)
    last = days - 1 - np.argmax(any_length[::-1], axis=0)
    return np.asarray(np.where(any_length.any(axis=0), last, -1), np.int32)
