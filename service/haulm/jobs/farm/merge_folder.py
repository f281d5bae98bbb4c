"""What a folder says beside the farm that is there: what is new, what is old news, what stands against each other.

Rows go by key. A column that the folder does not have stays; an empty cell is its default. A row that says what the
farm's row once said is old news, and so is one that was taken out since. Status and `hold_until` never go backwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from haulm.farm.batches import Batch
from haulm.farm.edits import Row
from haulm.farm.orders import Customer, Order, StandingOrder
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import BatchStatus, OrderStatus, RecordKind, StandingStatus
from haulm.farm_folder.reader import Folder
from haulm.store.history import History, Thing
from haulm.store.rows import COLLECTIONS, noun_from, person_of

SYNCED = ("farm-imported", "folder-brought-in")
"""The kinds of entries after which folder and farm say the same."""
_NOT_COMPARED = ("key", "typed_at", "really")


@dataclass(slots=True)
class Merged:
    """What comes of a folder beside a farm.

    Attributes:
        added, changed: rows to write, new ones and in the place of others; corrections of records are added.
        old: rows whose say is old news: the farm's stand.
        stays: rows of which the folder's status or day of a hold would have gone backwards.
        conflicts: rows that were changed by hand since, and say something new in the folder.
    """

    added: list[Row] = field(default_factory=list[Row])
    changed: list[Row] = field(default_factory=list[Row])
    old: list[Row] = field(default_factory=list[Row])
    stays: list[Row] = field(default_factory=list[Row])
    conflicts: list[Row] = field(default_factory=list[Row])


def merged(farm: Farm, folder: Folder, history: History, exported: int) -> Merged:
    """The folder beside the farm.

    Args:
        farm: the farm as it stands.
        folder: what was read.
        history: the farm's journal.
        exported: the version of the farm that was exported last; 0 where none was.
    """
    synced = [step.version for step in history.steps.values() if any(one.kind in SYNCED for one in step.entries)]
    last = max([exported, *synced])
    found = Merged()
    for name, collection in COLLECTIONS.items():
        own = {collection.key(row): row for row in getattr(farm, name)}
        given = [column for column in folder.columns.get(name, ()) if column not in _NOT_COMPARED]
        for row in getattr(folder.farm, name):
            key = collection.key(row)
            past = _Past(history, (name, key), last)
            if key not in own:
                _absent(found, row, past, given)
            elif isinstance(row, Record):
                _record(found, farm, row, given)
            else:
                _present(found, own[key], row, past, given)
    return found


@dataclass(frozen=True, slots=True)
class _Past:
    """What a row said before, and whether it was written by hand since folder and farm last said the same."""

    history: History
    thing: Thing
    last: int

    def said(self, row: Row, given: Sequence[str]) -> bool:
        """Whether it once said what a row says now, in the columns that are given."""
        collection, key = self.thing
        person = person_of(row) if isinstance(row, Customer) else None
        for _version, values in self.history.said(self.thing):
            if values is not None:
                past = noun_from(COLLECTIONS[collection], key, values, person)
                if _same(past, row, given):
                    return True
        return False

    @property
    def is_changed_since(self) -> bool:
        """Whether it was written or taken out since."""
        return any(version > self.last for version, _values in self.history.said(self.thing))


def _absent(found: Merged, row: Row, past: _Past, given: Sequence[str]) -> None:
    if past.said(row, given):
        found.old.append(row)
    elif past.is_changed_since:
        found.conflicts.append(row)
    else:
        found.added.append(row)


def _present(found: Merged, own: Row, row: Row, past: _Past, given: Sequence[str]) -> None:
    now = replace(own, **{column: getattr(row, column) for column in given})
    forward = _forward(own, now)
    if forward != now:
        found.stays.append(own)
    if forward == own:
        return
    if past.said(now, given) and not _is_paused_or_not(own, now):
        found.old.append(own)
    elif past.is_changed_since:
        found.conflicts.append(forward)
    else:
        found.changed.append(forward)


def _is_paused_or_not(own: Row, now: Row) -> bool:
    """Whether a standing order is paused or set active again, which goes back and forth."""
    return isinstance(own, StandingOrder) and isinstance(now, StandingOrder) and own.status is not now.status


def _record(found: Merged, farm: Farm, row: Record, given: Sequence[str]) -> None:
    """A record whose key is known: the same, corrected already, or a correction."""
    own = next(one for one in farm.records if one.key == row.key)
    now = replace(own, **{column: getattr(row, column) for column in given})
    later = list(_corrections(farm, own.key))
    if any(_says(one, now) for one in (own, *later)):
        return
    if later:
        # Somebody corrected it otherwise since: what the folder says was never said, and nobody knows which is right.
        found.conflicts.append(_correction(farm, later[-1], now))
    else:
        found.added.append(_correction(farm, own, now))


def _corrections(farm: Farm, key: str) -> Iterator[Record]:
    known = {key}
    for one in farm.records:
        if one.corrects in known:
            known.add(one.key)
            yield one


def _says(one: Record, wanted: Record) -> bool:
    kind = wanted.kind if one.kind is RecordKind.CORRECTED else one.kind
    columns = ("date", "count", "left", "final", "grade", "length_cm")
    return kind is wanted.kind and _same(one, wanted, columns)


def _correction(farm: Farm, own: Record, now: Record) -> Record:
    """The record that corrects one to what the folder says."""
    taken = {one.key for one in farm.records}
    number = 2
    while f"{now.key}.{number}" in taken:
        number += 1
    is_number = own.kind in (now.kind, RecordKind.CORRECTED) and own.batch == now.batch
    kind = RecordKind.CORRECTED if is_number else now.kind
    return replace(now, key=f"{now.key}.{number}", kind=kind, corrects=own.key)


_RANKS: Mapping[type[Any], tuple[Any, ...]] = {
    Batch: tuple(BatchStatus),
    Order: tuple(OrderStatus),
}
"""Statuses in the order in which they come; a standing order may be paused and set active again until it has ended."""


def _forward(own: Row, now: Row) -> Row:
    """A row without what would go backwards."""
    if isinstance(own, StandingOrder) and isinstance(now, StandingOrder):
        return replace(now, status=own.status) if own.status is StandingStatus.ENDED else now
    if isinstance(own, Order) and isinstance(now, Order):
        later = max((day for day in (own.hold_until, now.hold_until) if day is not None), default=None)
        now = replace(now, hold_until=later if own.hold_until is not None else now.hold_until)
    ranks = _RANKS.get(type(own), ())
    statuses = [getattr(row, "status", None) for row in (own, now)]
    if not ranks or ranks.index(statuses[1]) >= ranks.index(statuses[0]):
        return now
    hold = {"hold_until": own.hold_until} if isinstance(own, Order) else {}
    return replace(now, status=statuses[0], **hold)  # type: ignore[arg-type]  # the status is of its own kind


def _same(one: Any, other: Any, columns: Sequence[str]) -> bool:
    return all(getattr(one, column) == getattr(other, column) for column in columns)
