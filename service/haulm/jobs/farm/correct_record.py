"""Put a record right: another record stands in its place, and both are kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulm.errors import NotFound
from haulm.evidence.seen import standing_records
from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

_ITS_OWN = ("key", "corrects", "typed_at", "really")
_COUNTED_AGAIN = frozenset(("count", "left", "grade", "length_cm", "really"))
"""What a correction says of the record it puts right; whatever else is another makes it a record of its own kind."""
_CUTS = frozenset((RecordKind.CUT, RecordKind.HUNG))


def record_standing(records: tuple[Record, ...], key: str) -> Record:
    """A record as it stands, with all that put it right.

    Raises:
        NotFound: there is none, or it was withdrawn.
    """
    found = next((record for record in standing_records(records) if record.key == key), None)
    if found is None:
        raise NotFound(kind=_("record"), key=key)
    return found


def correct_record(desk: Desk, work: UnitOfWork, key: str, values: Mapping[str, object]) -> Record:
    """Write a record that stands in the place of another.

    A cut that is only counted again keeps its name in the book of stems; anything else is told anew.

    Args:
        desk: the desk.
        work: the unit of work.
        key: the record that is put right.
        values: what is another than it says, by column.

    Raises:
        NotFound: there is no such record.
        HaulmError: as for a new record.
    """
    was = record_standing(work.farm.records, key)
    is_count = was.kind in _CUTS and values.get("count") not in (None, "") and set(values) <= _COUNTED_AGAIN
    if is_count:
        told: dict[str, Any] = {**values, "kind": RecordKind.CORRECTED.value, "date": was.date.isoformat()}
    else:
        before = {name: value for name, value in values_of("records", was).items() if name not in _ITS_OWN}
        told = {**before, **values}
    record: Record = add_row(desk, work, RowAsked("records", {**told, "corrects": key}))
    return record
