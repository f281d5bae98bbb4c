"""A record about a variety, shared out over its batches by rule: oldest first, each up to what it may still hold."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, RecordKind
from haulm.forecast.inputs import Evidence

COUNTED_STEMS = frozenset((RecordKind.STANDING, RecordKind.CUT, RecordKind.HUNG, RecordKind.WASTE))

_STARTED = (BatchStatus.SOWN, BatchStatus.PLANTED, BatchStatus.CUTTING)
_OF_EACH = frozenset((RecordKind.NOT_YET, RecordKind.LOST, RecordKind.FINISHED))


def shares_of(
    record: Record, batches: Sequence[Batch], evidence: Mapping[str, Evidence], crops: Mapping[str, Crop]
) -> tuple[Record, ...]:
    """The record as one about each batch it speaks of.

    Args:
        record: not a frost.
        batches: the batches as earlier records leave them.
        evidence: what earlier records say of each batch.
        crops: every variety, for the stems of a plant.

    Returns:
        One record for each batch, oldest first, with its share of the counts; none where no batch fits. A "not yet", a
        loss and an end are of every batch in the ground; stems are of its ready batches; plants that came up or were
        planted of those still in trays; anything else of the oldest.
    """
    if record.batch is not None:
        return (record,) if record.batch in evidence else ()
    mine = sorted(
        (batch for batch in batches if batch.variety == record.variety),
        key=lambda batch: (batch.sow_date or date.min, batch.key),
    )
    standing = [batch for batch in mine if batch.status in _STARTED and not _is_over(evidence[batch.key])]
    if record.kind in _OF_EACH:
        fresh = [batch for batch in standing if record.kind is not RecordKind.NOT_YET or not _began(evidence, batch)]
        return tuple(_share(record, batch, record.count) for batch in fresh)
    if record.kind in COUNTED_STEMS:
        return _shared(record, _ready(record, standing, evidence), _may_hold(evidence, crops))
    if record.kind is RecordKind.FIRST_CUT:
        uncut = [batch for batch in standing if evidence[batch.key].first_cut is None]
        return tuple(_share(record, batch, record.count) for batch in uncut[:1])
    if record.kind in (RecordKind.GERMINATED, RecordKind.PLANTED):
        in_trays = [batch for batch in standing if batch.status is BatchStatus.SOWN] or standing
        return _shared(record, in_trays, _places)
    planned = [batch for batch in mine if batch.status is BatchStatus.PLANNED]
    found = planned if record.kind in (RecordKind.SOWN, RecordKind.RESOWN) and planned else standing
    return tuple(_share(record, batch, record.count) for batch in found[:1])


def is_by_rule(record: Record, batches: Sequence[Batch]) -> bool:
    """Whether a record is about a variety with several batches in the ground, so that its shares are a rule's."""
    standing = [batch for batch in batches if batch.variety == record.variety and batch.status in _STARTED]
    return record.batch is None and len(standing) > 1


def _ready(record: Record, standing: list[Batch], evidence: Mapping[str, Evidence]) -> list[Batch]:
    """The batches whose stems these may be: those that have begun, else those planted, else any in the ground."""
    form = Form.DRIED if record.kind is RecordKind.HUNG else Form.FRESH
    grown = [batch for batch in standing if batch.form is form] or standing
    begun = [batch for batch in grown if _began(evidence, batch)]
    planted = [batch for batch in grown if batch.status is BatchStatus.PLANTED]
    return begun or planted or grown


def _began(evidence: Mapping[str, Evidence], batch: Batch) -> bool:
    known = evidence[batch.key]
    return batch.status is BatchStatus.CUTTING or known.first_cut is not None or known.ready_by is not None


def _is_over(known: Evidence) -> bool:
    return known.lost_on is not None or known.finished_on is not None


def _may_hold(evidence: Mapping[str, Evidence], crops: Mapping[str, Crop]) -> Callable[[Batch], int]:
    def stems(batch: Batch) -> int:
        known = evidence[batch.key]
        plants = known.plants_alive if known.plants_alive is not None else _places(batch)
        return max(0, round(plants * crops[batch.variety].stems_per_plant) - known.cut_so_far)

    return stems


def _places(batch: Batch) -> int:
    return batch.plants if batch.plants is not None else batch.sown or 0


def _shared(record: Record, batches: list[Batch], most: Callable[[Batch], int]) -> tuple[Record, ...]:
    """Counts shared out oldest first; the last batch takes what is over, and what was left standing."""
    if record.count is None:
        return tuple(_share(record, batch, None) for batch in batches[:1])
    over = record.count
    shares: list[Record] = []
    for place, batch in enumerate(batches):
        count = over if place == len(batches) - 1 else min(over, most(batch))
        over -= count
        if count or not shares:
            shares.append(_share(record, batch, count))
        if not over:
            break
    if shares and record.left is not None:
        shares = [replace(share, left=0) for share in shares[:-1]] + [replace(shares[-1], left=record.left)]
    return tuple(shares)


def _share(record: Record, batch: Batch, count: int | None) -> Record:
    return replace(record, batch=batch.key, variety=None, count=count)
