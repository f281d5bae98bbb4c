"""Field records read as evidence of batches, as stems already cut, and as frosts of the whole farm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np

from haulm.evidence.shared_out import COUNTED_STEMS, has_begun, is_by_rule, own_counts, shares_beside, shares_of
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.records import KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, Grade, LossReason, RecordKind
from haulm.forecast.inputs import Evidence, PartLoss

_TELLING = frozenset((RecordKind.FIRST_CUT, RecordKind.NOT_YET, RecordKind.STANDING, RecordKind.CUT, RecordKind.HUNG))


@dataclass(frozen=True, slots=True)
class Seen:
    """What the records say, a record that was corrected counting no more.

    Attributes:
        batches: the batches as the records leave them (sown, planted, finished, lost, and when).
        evidence: what was seen of each batch.
        cut: stems cut and not said to be waste, and stems hung to dry, as counts somebody is sure of.
        frosts: days of frost on the whole farm.
        told_by: by batch, the keys of the records that speak of its first stem or its stems, oldest first.
        shared_out: by record of a variety, the batches it was shared out over by rule.
    """

    batches: tuple[Batch, ...]
    evidence: Mapping[str, Evidence]
    cut: tuple[KnownStems, ...]
    frosts: tuple[date, ...]
    told_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])
    shared_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])


@dataclass(slots=True)
class _Notes:
    """What has been read so far."""

    batches: dict[str, Batch]
    evidence: dict[str, Evidence]
    cut: list[KnownStems] = field(default_factory=list)
    frosts: list[date] = field(default_factory=list)
    told_by: dict[str, list[str]] = field(default_factory=dict[str, list[str]])
    shared_out: dict[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])


def seen(farm: Farm, crops: Mapping[str, Crop]) -> Seen:
    """Read the farm's records, oldest first."""
    first = first_keys(farm.records)
    notes = _Notes({batch.key: batch for batch in farm.batches}, {batch.key: Evidence() for batch in farm.batches})
    told = in_time(standing_records(farm.records))
    for place, record in enumerate(told):
        if record.kind is RecordKind.FROST:
            notes.frosts.append(record.date)
            continue
        batches = tuple(notes.batches.values())
        shares = shares_of(record, batches, notes.evidence, crops)
        if record.variety is not None and record.kind is RecordKind.STANDING:
            own = own_counts(told, place, {batch.key for batch in batches if batch.variety == record.variety})
            shares = shares_beside(own, record, notes.evidence, (batches, crops)) if own else shares
        if is_by_rule(record, batches):
            notes.shared_out[record.key] = tuple(share.batch or "" for share in shares)
        for share in shares:
            _read(share, notes.batches[share.batch or ""], notes)
        if shares and record.kind in (RecordKind.CUT, RecordKind.HUNG):
            batch = notes.batches[shares[0].batch or ""]
            stock = _stock(record, batch, crops[batch.variety])
            notes.cut.extend(replace(one, key=first.get(one.key, one.key)) for one in stock)
    told_by = {key: tuple(records) for key, records in notes.told_by.items()}
    return Seen(
        tuple(_as_it_ended(batch, notes.batches[batch.key]) for batch in farm.batches),
        notes.evidence,
        tuple(notes.cut),
        tuple(notes.frosts),
        told_by,
        notes.shared_out,
    )


def _as_it_ended(row: Batch, read: Batch) -> Batch:
    """A batch as its records leave it; one that its own row says is over stays so, whatever was seen before that."""
    return replace(read, status=row.status) if row.is_over else read


def standing_records(records: Iterable[Record]) -> tuple[Record, ...]:
    """The records that count, a correction in the place of what it corrects.

    A correction speaks with the kind of what it corrects, and keeps its grade, its length and what was left standing
    where it says nothing of them: seconds that were counted again are still seconds. Of several corrections of one
    record the last one stands. Without a count it withdraws the record. Any other kind of record that names one it
    corrects counts instead of it.
    """
    by_key = {record.key: record for record in records}
    first = first_keys(by_key.values())
    replaced = {
        first.get(record.corrects, record.corrects)
        for record in by_key.values()
        if record.corrects is not None and record.kind is not RecordKind.CORRECTED
    }
    said: dict[str, list[Record]] = {
        key: [record] for key, record in by_key.items() if record.kind is not RecordKind.CORRECTED
    }
    for key, origin in first.items():
        said[origin].append(by_key[key])
    return tuple(
        _put_right(found)
        for key, found in said.items()
        if key not in replaced and (len(found) == 1 or found[-1].count is not None)
    )


def in_time(records: Iterable[Record]) -> list[Record]:
    """Records in the order of what happened: by day, in a day by when they were typed, those that don't say it first.

    Of two that were typed at the same moment the key decides, so that the order of their coming never matters.
    """
    return sorted(records, key=lambda one: (one.date, one.typed_at or "", one.key if one.typed_at else ""))


def first_keys(records: Iterable[Record]) -> dict[str, str]:
    """By the key of a correction, the key of the record it corrects in the end: the stems of a cut keep that name."""
    by_key = {record.key: record for record in records}
    corrections = (record for record in by_key.values() if record.kind is RecordKind.CORRECTED)
    found = {record.key: _origin(record, by_key) for record in corrections}
    return {key: first.key for key, first in found.items() if first is not None}


def _origin(record: Record, by_key: Mapping[str, Record]) -> Record | None:
    """The first record of a chain of corrections."""
    walked: set[str] = set()
    while record.kind is RecordKind.CORRECTED:
        if record.corrects is None or record.corrects in walked or record.corrects not in by_key:
            return None
        walked.add(record.corrects)
        record = by_key[record.corrects]
    return record


def _put_right(said: Sequence[Record]) -> Record:
    """A record as its last correction has it, and as it was said last where that one says nothing."""
    first, last = said[0], said[-1]
    return replace(
        last,
        kind=first.kind,
        batch=first.batch,
        variety=first.variety,
        typed_at=first.typed_at,
        grade=next((record.grade for record in reversed(said) if record.grade is not None), None),
        length_cm=next((record.length_cm for record in reversed(said) if record.length_cm is not None), None),
        left=next((record.left for record in reversed(said) if record.left is not None), None),
    )


def _read(record: Record, batch: Batch, notes: _Notes) -> None:
    known = _marked(record, batch, notes)
    match record.kind:
        case RecordKind.SOWN | RecordKind.RESOWN:
            sown = record.count if record.count is not None else batch.sown
            notes.batches[batch.key] = replace(batch, sow_date=record.date, sown=sown, status=BatchStatus.SOWN)
        case RecordKind.PLANTED:
            notes.batches[batch.key] = replace(batch, plant_out_date=record.date, status=BatchStatus.PLANTED)
            if record.count is not None:
                notes.evidence[batch.key] = replace(known, plants_alive=record.count, losses=())
        case RecordKind.LOST:
            notes.evidence[batch.key] = _lost(record, batch, known)
        case RecordKind.FINISHED:
            notes.evidence[batch.key] = replace(known, finished_on=record.date)
        case RecordKind.CUT | RecordKind.HUNG:
            notes.evidence[batch.key] = _cut(record, known)
        case _:
            notes.evidence[batch.key] = _spoiled(record, known) if record.is_spoiled else _looked(record, batch, known)


def _marked(record: Record, batch: Batch, notes: _Notes) -> Evidence:
    """What is known of the batch, marked where this record only bounds it; and the record among those that tell."""
    if record.kind in _TELLING or record.is_spoiled:
        notes.told_by.setdefault(batch.key, []).append(record.key)
    known = notes.evidence[batch.key]
    is_share = record.key in notes.shared_out and record.kind in COUNTED_STEMS
    return replace(known, is_shared_out=True) if is_share else known


def _looked(record: Record, batch: Batch, known: Evidence) -> Evidence:
    match record.kind:
        case RecordKind.GERMINATED if record.final:
            return replace(known, germinated_final=record.count)
        case RecordKind.GERMINATED:
            return replace(known, germinated_so_far=max(known.germinated_so_far or 0, record.count or 0))
        case RecordKind.NOT_YET:
            return replace(known, not_yet=record.date)
        case RecordKind.FIRST_CUT:
            return replace(known, first_cut=known.first_cut or record.date)
        case RecordKind.STANDING if record.count:
            ready_by = known.ready_by or record.date
            return replace(known, ready_by=ready_by, cut_until=record.date, left=record.count)
        case RecordKind.STANDING if not has_begun(batch, known):
            return replace(known, not_yet=record.date)
        case RecordKind.STANDING:
            return replace(known, cut_until=record.date, left=0)
        case _:
            return known


def _lost(record: Record, batch: Batch, known: Evidence) -> Evidence:
    """All plants lost, or some of them: the rest stays."""
    if not record.is_all_lost:
        part = PartLoss(record.date, record.count, (record.share_pct or 0) / 100)
        plants = np.array(float(batch.most_plants if known.plants_alive is None else known.plants_alive))
        for loss in (*known.losses, part):
            plants = loss.rest(plants)
        known = replace(known, losses=(*known.losses, part))
        if record.count is None or plants > 0:
            return known
    return replace(known, lost_on=record.date, gone_until=record.date, left=None)


def _spoiled(record: Record, known: Evidence) -> Evidence:
    """Stems that went over or were spoiled where they stood: so many of those counted, or all that stood ready."""
    if record.count is not None:
        left = None if known.left is None else max(0, known.left - record.count)
        return replace(known, left=left, is_part_gone=True)
    ready_by = known.ready_by or (record.date if record.reason is LossReason.GONE_OVER else None)
    left = None if known.left is None else 0
    return replace(known, ready_by=ready_by, gone_until=record.date, left=left, is_part_gone=True)


def _cut(record: Record, known: Evidence) -> Evidence:
    ready_by = known.ready_by or (record.date if record.count or record.left else None)
    cut_so_far = known.cut_so_far + (record.count or 0)
    return replace(known, ready_by=ready_by, cut_so_far=cut_so_far, cut_until=record.date, left=record.left)


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
