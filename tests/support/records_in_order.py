"""Records of random farms in an order that can be."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from haulm.farm.records import Record
from haulm.farm.words import RecordKind

_BEFORE_CUTTING = (RecordKind.GERMINATED, RecordKind.PLANTED, RecordKind.NOT_YET)
_CUTTING = (RecordKind.STANDING, RecordKind.FIRST_CUT, RecordKind.CUT, RecordKind.HUNG)
_TOLD_IN_ORDER = (*_BEFORE_CUTTING, *_CUTTING, RecordKind.LOST)


def in_order(told: tuple[Record, ...]) -> tuple[Record, ...]:
    """Records with their days dealt out anew: each batch was planted, waited for, cut and lost in this order."""
    days: dict[str, dt.date] = {}
    for batch in {record.batch for record in told}:
        own = [record for record in told if record.batch == batch and record.kind in _TOLD_IN_ORDER]
        own.sort(key=lambda record: _TOLD_IN_ORDER.index(record.kind))
        for record, day in zip(own, sorted(record.date for record in own), strict=True):
            # A day is seen as not yet one for cutting only before the first cut.
            later = 0 if record.kind in _BEFORE_CUTTING else 1
            days[record.key] = day + dt.timedelta(days=later)
    return tuple(replace(record, date=days.get(record.key, record.date)) for record in told)
