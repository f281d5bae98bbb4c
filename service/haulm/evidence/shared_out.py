"""A record about a variety, shared out over its batches by rule: oldest first, each up to what it may still hold."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, LossReason, RecordKind
from haulm.forecast.inputs import Evidence

COUNTED_STEMS = frozenset((RecordKind.STANDING, RecordKind.CUT, RecordKind.HUNG, RecordKind.WASTE))

_LOOKED = frozenset((RecordKind.STANDING, RecordKind.NOT_YET))
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
        loss and an end are of every batch in the ground, plants lost of them by their places; stems are of its ready
        batches, and all of these were counted; plants that came up or were planted of those still in trays; anything
        else of the oldest.
    """
    if record.batch is not None:
        return (record,) if record.batch in evidence else ()
    mine = sorted(
        (batch for batch in batches if batch.variety == record.variety),
        key=lambda batch: (batch.sow_date or date.min, batch.key),
    )
    standing = [batch for batch in mine if batch.status in _STARTED and not _is_over(evidence[batch.key])]
    if record.kind is RecordKind.LOST and record.count is not None:
        return _shared(record, standing, _places)
    if record.kind in _OF_EACH:
        is_not_yet = record.kind is RecordKind.NOT_YET
        fresh = [batch for batch in standing if not (is_not_yet and has_begun(batch, evidence[batch.key]))]
        return tuple(_share(record, batch, record.count) for batch in fresh)
    if record.kind in COUNTED_STEMS:
        return _stems(record, standing, evidence, crops)
    if record.kind is RecordKind.FIRST_CUT:
        uncut = [batch for batch in standing if evidence[batch.key].first_cut is None]
        return tuple(_share(record, batch, record.count) for batch in uncut[:1])
    if record.kind in (RecordKind.GERMINATED, RecordKind.PLANTED):
        in_trays = [batch for batch in standing if batch.status is BatchStatus.SOWN] or standing
        return _shared(record, in_trays, _places)
    planned = [batch for batch in mine if batch.status is BatchStatus.PLANNED]
    found = planned if record.kind in (RecordKind.SOWN, RecordKind.RESOWN) and planned else standing
    return tuple(_share(record, batch, record.count) for batch in found[:1])


def own_counts(told: Sequence[Record], place: int, batches: Collection[str]) -> dict[str, int]:
    """The numbers that batches of a kind have of their own beside a number of the whole kind.

    Args:
        told: records in the order of time.
        place: where the number of the kind stands among them.
        batches: the batches of the kind.

    Returns:
        By batch its stems: counted in the same moment, or later that day before anything was cut, lost or counted of
        the whole kind again. A number typed before that of the kind is part of it.
    """
    kind, found = told[place], dict[str, int]()
    for one in told[place + 1 :]:
        is_of_kind = one.variety == kind.variety or one.batch in batches
        if one.date != kind.date or (is_of_kind and (one.kind not in _LOOKED or one.batch is None)):
            break
        if is_of_kind and one.kind is RecordKind.STANDING and one.batch is not None:
            found.setdefault(one.batch, one.count or 0)
    for one in reversed(told[:place]):
        if kind.typed_at is None or (one.date, one.typed_at) != (kind.date, kind.typed_at):
            break
        if one.batch is not None and one.batch in batches and one.kind is RecordKind.STANDING:
            found.setdefault(one.batch, one.count or 0)
    return found


def shares_beside(
    own: Mapping[str, int],
    record: Record,
    evidence: Mapping[str, Evidence],
    grown: tuple[Sequence[Batch], Mapping[str, Crop]],
) -> tuple[Record, ...]:
    """The shares of a number of the whole kind: what batches with a number of their own leave of it, for the others."""
    batches, crops = grown
    rest = replace(record, count=max(0, (record.count or 0) - sum(own.values())))
    others = [batch for batch in batches if batch.key not in own]
    shares = shares_of(rest, others, evidence, crops)
    return tuple(share for share in shares if share.count or has_begun(_of(share, others), evidence[share.batch or ""]))


def _of(share: Record, batches: Iterable[Batch]) -> Batch:
    return next(batch for batch in batches if batch.key == share.batch)


def is_by_rule(record: Record, batches: Sequence[Batch]) -> bool:
    """Whether a record is about a variety with several batches in the ground, so that its shares are a rule's."""
    standing = [batch for batch in batches if batch.variety == record.variety and batch.status in _STARTED]
    return record.batch is None and len(standing) > 1


def _ready(record: Record, standing: list[Batch], evidence: Mapping[str, Evidence]) -> list[Batch]:
    """The batches whose stems these may be: those that have begun, else those planted, else any in the ground."""
    form = Form.DRIED if record.kind is RecordKind.HUNG else Form.FRESH
    grown = [batch for batch in standing if batch.form is form] or standing
    begun = [batch for batch in grown if has_begun(batch, evidence[batch.key])]
    planted = [batch for batch in grown if batch.status is BatchStatus.PLANTED]
    return begun or planted or grown


def has_begun(batch: Batch, known: Evidence) -> bool:
    """Whether a batch has given stems, as its records or its status say."""
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
    return batch.most_plants


def _stems(
    record: Record, standing: list[Batch], evidence: Mapping[str, Evidence], crops: Mapping[str, Crop]
) -> tuple[Record, ...]:
    """Stems of ready batches. Where they were counted standing, every ready batch was: they add up to the count."""
    ready = _ready(record, standing, evidence)
    if record.is_spoiled and record.count is None:
        gone = ready if record.reason is LossReason.GONE_OVER else standing
        return tuple(_share(record, batch, None) for batch in gone)
    shares = _shared(record, ready, _may_hold(evidence, crops))
    if record.kind is not RecordKind.STANDING:
        return shares
    given = {share.batch for share in shares}
    rest = [one for one in ready if one.key not in given and (not record.count or has_begun(one, evidence[one.key]))]
    return (*shares, *(_share(record, batch, 0) for batch in rest))


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
