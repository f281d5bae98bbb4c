"""Field records read as evidence of batches, as stems already cut, and as frosts of the whole farm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.records import KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, Grade, RecordKind
from haulm.forecast.inputs import Evidence

_STARTED = (BatchStatus.SOWN, BatchStatus.PLANTED, BatchStatus.CUTTING)


@dataclass(frozen=True, slots=True)
class Seen:
    """What the records say, a record that was corrected counting no more.

    Attributes:
        batches: the batches as the records leave them (sown, planted, finished, lost, and when).
        evidence: what was seen of each batch.
        cut: stems cut and not said to be waste, and stems hung to dry, as counts somebody is sure of.
        frosts: days of frost on the whole farm.
    """

    batches: tuple[Batch, ...]
    evidence: Mapping[str, Evidence]
    cut: tuple[KnownStems, ...]
    frosts: tuple[date, ...]


@dataclass(slots=True)
class _Notes:
    """What has been read so far."""

    batches: dict[str, Batch]
    evidence: dict[str, Evidence]
    cut: list[KnownStems] = field(default_factory=list)
    frosts: list[date] = field(default_factory=list)


def seen(farm: Farm, crops: Mapping[str, Crop]) -> Seen:
    """Read the farm's records, oldest first."""
    notes = _Notes({batch.key: batch for batch in farm.batches}, {batch.key: Evidence() for batch in farm.batches})
    for record in sorted(standing_records(farm.records), key=lambda record: record.date):
        batch = _batch(record, notes.batches)
        if record.kind is RecordKind.FROST:
            notes.frosts.append(record.date)
        elif batch is not None:
            _read(record, batch, notes, crops)
    return Seen(tuple(notes.batches.values()), notes.evidence, tuple(notes.cut), tuple(notes.frosts))


def standing_records(records: Iterable[Record]) -> tuple[Record, ...]:
    """The records that count: not those corrected by another; a correction speaks with the kind of what it corrects.

    A correction without a count withdraws the record it corrects.
    """
    by_key = {record.key: record for record in records}
    gone = {record.corrects for record in by_key.values() if record.corrects is not None}
    found = []
    for record in by_key.values():
        if record.key in gone:
            continue
        if record.kind is RecordKind.CORRECTED:
            first = _origin(record, by_key)
            if first is None or record.count is None:
                continue
            record = replace(record, kind=first.kind, batch=first.batch, variety=first.variety)
        found.append(record)
    return tuple(found)


def _origin(record: Record, by_key: Mapping[str, Record]) -> Record | None:
    """The first record of a chain of corrections."""
    walked: set[str] = set()
    while record.kind is RecordKind.CORRECTED:
        if record.corrects is None or record.corrects in walked or record.corrects not in by_key:
            return None
        walked.add(record.corrects)
        record = by_key[record.corrects]
    return record


def _batch(record: Record, batches: Mapping[str, Batch]) -> Batch | None:
    """The batch a record is about; one about a variety is taken to be about its oldest batch still in the ground."""
    if record.batch is not None:
        return batches.get(record.batch)
    in_ground = (batch for batch in batches.values() if batch.variety == record.variety and batch.status in _STARTED)
    return min(in_ground, key=lambda batch: (batch.sow_date or date.min, batch.key), default=None)


def _read(record: Record, batch: Batch, notes: _Notes, crops: Mapping[str, Crop]) -> None:
    known = notes.evidence[batch.key]
    match record.kind:
        case RecordKind.SOWN | RecordKind.RESOWN:
            sown = record.count if record.count is not None else batch.sown
            notes.batches[batch.key] = replace(batch, sow_date=record.date, sown=sown, status=BatchStatus.SOWN)
        case RecordKind.PLANTED:
            notes.batches[batch.key] = replace(batch, plant_out_date=record.date, status=BatchStatus.PLANTED)
            if record.count is not None:
                notes.evidence[batch.key] = replace(known, plants_alive=record.count)
        case RecordKind.LOST:
            notes.evidence[batch.key] = replace(known, lost_on=record.date)
        case RecordKind.FINISHED:
            notes.evidence[batch.key] = replace(known, finished_on=record.date)
        case RecordKind.CUT | RecordKind.HUNG:
            notes.evidence[batch.key] = _cut(record, known)
            notes.cut.extend(_stock(record, batch, crops[batch.variety]))
        case _:
            notes.evidence[batch.key] = _looked(record, known)


def _looked(record: Record, known: Evidence) -> Evidence:
    match record.kind:
        case RecordKind.GERMINATED if record.final:
            return replace(known, germinated_final=record.count)
        case RecordKind.GERMINATED:
            return replace(known, germinated_so_far=max(known.germinated_so_far or 0, record.count or 0))
        case RecordKind.NOT_YET:
            return replace(known, not_yet=record.date)
        case RecordKind.FIRST_CUT:
            return replace(known, first_cut=known.first_cut or record.date)
        case _:
            return known


def _cut(record: Record, known: Evidence) -> Evidence:
    return replace(known, cut_so_far=known.cut_so_far + (record.count or 0), cut_until=record.date, left=record.left)


def _stock(record: Record, batch: Batch, crop: Crop) -> Iterable[KnownStems]:
    """The cut stems of a record as stock; seconds (grade B) never fill an order."""
    if not record.count or record.grade is Grade.B:
        return
    if record.kind is RecordKind.HUNG:
        dry = record.date + timedelta(days=crop.dry_days)
        keep = crop.dried_keep_days
        until = dry + timedelta(days=keep) if keep is not None else None
        product = Product(batch.variety, Form.DRIED)
        yield KnownStems(record.key, product, dry, record.count, None, record.length_cm, until)
    elif batch.form is Form.FRESH:
        yield KnownStems(record.key, batch.product, record.date, record.count, record.date, record.length_cm)
