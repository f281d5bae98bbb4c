"""Rows that have no key of their own, a price, a recipe, a day's temperatures: put in, changed, and found by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from operator import attrgetter
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.farm.cross_checks import IDENTITIES
from haulm.farm.edits import COLLECTIONS
from haulm.farm.records import DayTemperature
from haulm.farm.row_checks import row_faults
from haulm.farm.snapshot import Farm
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.language.words import _
from haulm.store.rows import collection_of
from haulm.store.unit_of_work import UnitOfWork

_DAYS = "temperatures"


def name_of(row: Any) -> str:
    """What a row is called in an address: its key, or what makes it one of its kind."""
    return collection_of(row).key(row)


def row_named(farm: Farm, collection: str, name: str) -> Any:
    """The row of that name.

    Raises:
        NotFound: there is none.
    """
    rows: tuple[Any, ...] = getattr(farm, collection) if collection in COLLECTIONS.values() else ()
    found = next((row for row in rows if name_of(row) == name), None)
    if found is None:
        raise NotFound(kind=collection.replace("_", " "), key=name)
    return found


def enter_row(desk: Desk, work: UnitOfWork, asked: RowAsked) -> Any:
    """Put in a new row of any collection.

    Raises:
        NotAccepted: there is one of the same name.
        HaulmError: as for `add_row`.
    """
    if asked.collection not in IDENTITIES:
        return add_row(desk, work, asked)
    row = row_from_values(asked.collection, asked.values)
    return _written(work, row, asked.collection, "row-added")


def amend_row(desk: Desk, work: UnitOfWork, name: str, asked: RowAsked) -> Any:
    """Change the named values of a row of any collection, also those that make it one of its kind.

    Raises:
        NotAccepted: there is another of the new name.
        HaulmError: as for `change_row`.
    """
    if asked.collection not in IDENTITIES:
        return change_row(desk, work, name, asked, expected=None)
    before = row_named(work.farm, asked.collection, name)
    row = row_from_values(asked.collection, asked.values, before)
    return _written(work, row, asked.collection, "row-changed", before=before)


def _written(work: UnitOfWork, row: Any, collection: str, kind: str, *, before: Any = None) -> Any:
    is_renamed = before is None or name_of(row) != name_of(before)
    if is_renamed and any(name_of(old) == name_of(row) for old in getattr(work.farm, collection)):
        where = next(iter(IDENTITIES[collection]))
        raise NotAccepted(where=where, found=_("what stands there already"), accepted=_("one that is not there yet"))
    if collection == _DAYS:
        return _day_written(work, row, kind, before)
    require_sound(_without(work.farm, collection, before) if is_renamed else work.farm, [row])
    entry = work.enter(kind, f"{collection}/{name_of(row)}")
    if before is not None and is_renamed:
        work.remove(collection, name_of(before), entry=entry)
    work.put(row, entry=entry)
    return row


def _day_written(work: UnitOfWork, row: DayTemperature, kind: str, before: DayTemperature | None) -> DayTemperature:
    """A day's temperatures, in the order of the days: those after it are written again behind it."""
    others = tuple(day for day in work.farm.temperatures if day not in (before, row))
    days = tuple(sorted((*others, row), key=attrgetter("date")))
    faults = row_faults(_DAYS, days) or row_faults(_DAYS, (row,))
    if faults:
        raise FolderRefused(faults=tuple(replace(fault, row=None) for fault in faults[:1]))
    entry = work.enter(kind, f"{_DAYS}/{name_of(row)}")
    later = [day for day in days if day.date > row.date]
    for gone in (*((before,) if before is not None else ()), *later):
        work.remove(_DAYS, name_of(gone), entry=entry)
    for day in (row, *later):
        work.put(day, entry=entry)
    return row


def _without(farm: Farm, collection: str, row: Any) -> Farm:
    rows: Mapping[str, Any] = {collection: tuple(one for one in getattr(farm, collection) if one is not row)}
    return replace(farm, **rows)
