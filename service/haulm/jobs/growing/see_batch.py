"""One batch: what it is, what was seen of it, and what the forecast says it will give."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from haulm.errors import NotFound
from haulm.evidence.seen import standing_records
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.varieties import Crop
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.batch_forecast import BatchForecast, forecast_of
from haulm.jobs.growing.show_evidence import Moved, show_evidence
from haulm.language.words import _
from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class SeenBatch:
    """A batch with what was seen and what is forecast of it.

    Attributes:
        batch: as the records leave it.
        crop: its kind with the defaults filled in.
        records: what was written of it, newest first.
        forecast: what it will give; None where there is no forecast.
        missing: why there is no forecast, or None.
        moved: what its own records did to the forecast, or None where they moved no other batch.
        moved_by: the names and keys of other batches whose records moved the forecast, the strongest first.
    """

    batch: Batch
    crop: Crop
    records: tuple[Record, ...]
    forecast: BatchForecast | None
    missing: str | None = None
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
        raise NotFound(kind=_("batch"), key=key)
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
    crop = plan.crops[batch.variety]
    found = forecast_of(plan, batch.key)
    if found is None:
        missing = plan.growth.missing
        return SeenBatch(batch, crop, records, None, None if missing is None else missing.sentence)
    evidence = show_evidence(plan).moved_by
    own = next((one for one in evidence if one.batch == batch.key), None)
    others = tuple((_name_of(plan, one.batch), one.batch) for one in evidence if one.batch != batch.key)
    return SeenBatch(batch, crop, records, found, None, own, others)


def _name_of(plan: Plan, key: str) -> str:
    variety = next(batch.variety for batch in plan.growth.seen.batches if batch.key == key)
    return plan.crops[variety].name
