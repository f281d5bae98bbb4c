"""Checks of the story that a batch's records tell: what cannot have happened, or not in this order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from haulm.farm.batches import Batch
from haulm.farm.faults import Fault
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import RecordKind
from haulm.language.words import _

_SOWN = frozenset((RecordKind.SOWN, RecordKind.RESOWN))
_STEMS = frozenset((RecordKind.FIRST_CUT, RecordKind.CUT, RecordKind.HUNG, RecordKind.STANDING))
_AFTER_SOWING = _STEMS | {RecordKind.GERMINATED, RecordKind.PLANTED}
_IN_PLACES = {RecordKind.GERMINATED: "germinated", RecordKind.PLANTED: "planted"}


@dataclass(frozen=True, slots=True)
class _Story:
    """What the records of one batch say, those corrected left out."""

    batch: Batch
    records: tuple[Record, ...]

    def first(self, *kinds: RecordKind) -> dt.date | None:
        """The earliest day of records of some kinds."""
        return min((record.date for record in self.records if record.kind in kinds), default=None)

    @property
    def places(self) -> int | None:
        """The most places the batch can have: what its records say was sown, or the plan where that is more."""
        counts = [record.count for record in self.records if record.kind in _SOWN and record.count is not None]
        known: list[Any] = [n for n in (self.batch.sown, sum(counts) if counts else None) if n is not None]
        return max(known, default=None)


def record_faults(farm: Farm) -> tuple[Fault, ...]:
    """What the records of a batch say that cannot be.

    Args:
        farm: the rows; a record that another corrects says nothing.

    Returns:
        Faults of `records`, in their order; `row` is the index of the row.
    """
    corrected = {record.corrects for record in farm.records}
    by_batch: dict[str, list[Record]] = {}
    for record in farm.records:
        if record.batch is not None and record.key not in corrected:
            by_batch.setdefault(record.batch, []).append(record)
    stories = {batch.key: _Story(batch, tuple(by_batch[batch.key])) for batch in farm.batches if batch.key in by_batch}
    faults: list[Fault] = []
    for index, record in enumerate(farm.records):
        story = stories.get(record.batch or "")
        if story is not None and record.key not in corrected:
            faults += (Fault("records", index, *complaint) for complaint in _complaints(record, story))
    return tuple(faults)


def _complaints(record: Record, story: _Story) -> Iterator[tuple[str, str, str]]:
    found = _("{kind} on {date}").format(kind=record.kind, date=record.date)
    sown = story.first(*_SOWN) or story.batch.sow_date
    if record.kind in _AFTER_SOWING and sown is not None and record.date < sown and not record.really:
        yield "date", found, _("a date not before the batch was sown, {sown}").format(sown=sown)
    planted = story.first(RecordKind.PLANTED)
    if record.kind in _STEMS and planted is not None and record.date < planted:
        yield "date", found, _("a date not before the batch was planted, {planted}").format(planted=planted)
    lost = min((told.date for told in story.records if told.is_all_lost), default=None)
    if record.kind in _STEMS and lost is not None and record.date > lost:
        yield "date", found, _("a date not after the batch was lost, {lost}").format(lost=lost)
    cut = story.first(RecordKind.FIRST_CUT)
    if record.kind is RecordKind.NOT_YET and cut is not None and record.date >= cut:
        yield "date", found, _("a date before the first cut, {cut}").format(cut=cut)
    yield from _too_many(record, story.places)


def _too_many(record: Record, places: int | None) -> Iterator[tuple[str, str, str]]:
    word = _IN_PLACES.get(record.kind)
    if word is not None and places is not None and (record.count or 0) > places:
        yield "count", f"{record.count} {word}", _("at most the {places} places sown").format(places=places)
