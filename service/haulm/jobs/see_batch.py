"""One batch: what it is, what was seen of it, and what the forecast says it will give."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.errors import NotFound
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.forecast.days import StemsByLength
from haulm.forecast.percentiles import LEVELS, quantiles, week_percentiles
from haulm.jobs.desk import Desk
from haulm.jobs.show_evidence import Moved, show_evidence
from haulm.matching.supply import FloatArray, IntArray
from haulm.planning.plan import Plan
from haulm.planning.seen import standing_records


@dataclass(frozen=True, slots=True)
class WeekOfBatch:
    """What a batch makes ready in one week: stems in a poor, a middling and a good season."""

    week: Week
    stems: tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class SeenBatch:
    """A batch with what was seen and what is forecast of it.

    Attributes:
        batch: as the records leave it.
        crop: its kind with the defaults filled in.
        records: what was written of it, newest first.
        first_stem: the day of its first ready stem, early, middling and late; None where it gives none.
        weeks: from the first week with stems to the last.
        fails: weight of the seasons in which it gives nothing, 0-1.
        moved: what its own records did to the forecast, or None where they moved no other batch.
        moved_by: the names and keys of other batches whose records moved the forecast, the strongest first.
    """

    batch: Batch
    crop: Crop
    records: tuple[Record, ...]
    first_stem: tuple[date, date, date] | None
    weeks: tuple[WeekOfBatch, ...]
    fails: float
    moved: Moved | None = None
    moved_by: tuple[tuple[str, str], ...] = ()


def see_batch(desk: Desk, key: str) -> SeenBatch:
    """One batch.

    Raises:
        NotFound: there is none with that key.
    """
    plan = desk.plan()
    found = next((batch for batch in plan.growth.seen.batches if batch.key == key), None)
    if found is None:
        raise NotFound(kind="batch", key=key)
    records = tuple(reversed([record for record in standing_records(plan.farm.records) if record.batch == key]))
    return _seen(plan, found, records)


def see_batches(desk: Desk) -> tuple[tuple[Batch, Crop], ...]:
    """Every batch with its kind, by the day of sowing; those without one last."""
    plan = desk.plan()
    batches: Iterable[Batch] = sorted(
        plan.growth.seen.batches, key=lambda batch: (batch.sow_date or date.max, batch.key)
    )
    return tuple((batch, plan.crops[batch.variety]) for batch in batches)


def _seen(plan: Plan, batch: Batch, records: tuple[Record, ...]) -> SeenBatch:
    crop, growth = plan.crops[batch.variety], plan.growth
    forecast = growth.forecast
    if forecast is None:
        return SeenBatch(batch, crop, records, None, (), 0.0)
    by_length = forecast.stems_of(batch.key, growth.first_day, growth.days)
    if not by_length:
        return SeenBatch(batch, crop, records, None, (), 0.0)
    stems = _added_up(by_length)
    gives = stems.any(axis=0)
    fails = float(forecast.weights[~gives].sum())
    weeks = _weeks(week_percentiles(stems, growth.first_day, forecast.weights))
    first = _first_stem(stems, growth.first_day, forecast.weights)
    evidence = show_evidence(plan).moved_by
    own = next((one for one in evidence if one.batch == batch.key), None)
    others = tuple((_name_of(plan, one.batch), one.batch) for one in evidence if one.batch != batch.key)
    return SeenBatch(batch, crop, records, first, weeks, fails, own, others)


def first_stem_of(plan: Plan, key: str) -> tuple[date, date, date] | None:
    """The day of a batch's first ready stem, early, middling and late; None where it gives none."""
    growth, forecast = plan.growth, plan.growth.forecast
    by_length = {} if forecast is None else forecast.stems_of(key, growth.first_day, growth.days)
    if forecast is None or not by_length:
        return None
    return _first_stem(_added_up(by_length), growth.first_day, forecast.weights)


def _added_up(by_length: StemsByLength) -> IntArray:
    stems: IntArray = np.sum(np.stack(list(by_length.values())), axis=0, dtype=np.int32)
    return stems


def _name_of(plan: Plan, key: str) -> str:
    variety = next(batch.variety for batch in plan.growth.seen.batches if batch.key == key)
    return plan.crops[variety].name


def _first_stem(stems: IntArray, first_day: date, weights: FloatArray) -> tuple[date, date, date] | None:
    """The day of the first ready stem at three levels, of the seasons in which there is one; stems (days, seasons)."""
    gives = stems.any(axis=0)
    if not gives.any():
        return None
    first = np.argmax(stems[:, gives] > 0, axis=0)
    share = weights[gives] / weights[gives].sum()
    early, middling, late = (round(float(found)) for found in quantiles(first[np.newaxis, :], LEVELS, share)[:, 0])
    return first_day + timedelta(early), first_day + timedelta(middling), first_day + timedelta(late)


def _weeks(found: Mapping[Week, tuple[int, int, int]]) -> tuple[WeekOfBatch, ...]:
    """The weeks from the first with stems in a good season to the last."""
    busy = [week for week, stems in found.items() if stems[2]]
    return tuple(WeekOfBatch(week, found[week]) for week in found if busy and busy[0] <= week <= busy[-1])
