"""Change what the folder has: one row put in or changed, checked against the whole farm before it is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from haulm.crop_library.library import food_conflict
from haulm.errors import NotAccepted, NotFound
from haulm.farm.checks import farm_faults
from haulm.farm.edits import Row, identity, with_rows
from haulm.farm.faults import Fault
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk import Desk
from haulm.store.unit_of_work import UnitOfWork

KEYED = (
    "varieties",
    "beds",
    "batches",
    "records",
    "known_stems",
    "customers",
    "standing_orders",
    "standing_lines",
    "changes",
    "orders",
    "order_lines",
    "sprays",
)
"""Collections whose rows have keys and can be asked for one by one."""
ADDED_ONLY = ("records",)
"""Collections whose rows are never changed; a later row corrects an earlier one."""


def rows_of(farm: Farm, collection: str) -> tuple[Any, ...]:
    """The rows of a collection, in the order they were written.

    Raises:
        NotFound: there is no such collection.
    """
    if collection not in KEYED:
        raise NotFound(kind="collection", key=collection)
    rows: tuple[Any, ...] = getattr(farm, collection)
    return rows


def row_of(farm: Farm, collection: str, key: str) -> Any:
    """One row of a collection.

    Raises:
        NotFound: there is no such collection, or no row with that key.
    """
    found = next((row for row in rows_of(farm, collection) if row.key == key), None)
    if found is None:
        raise NotFound(kind=collection.replace("_", " "), key=key)
    return found


def add_row(desk: Desk, work: UnitOfWork, collection: str, values: Mapping[str, object]) -> Any:
    """Put in a new row; a record's date is today and its key is made up unless said, a batch's key as well.

    Raises:
        NotAccepted: the key is taken.
        FolderRefused: a value is not accepted, or the row does not fit the farm.
    """
    given = dict(values)
    if collection in ("batches", "records") and not given.get("key"):
        given["key"] = _free_key(work, collection)
    if collection == "records" and not given.get("date"):
        given["date"] = desk.today().isoformat()
    row = row_from_values(collection, given)
    if any(identity(row) == identity(old) for old in rows_of(work.farm, collection)):
        raise NotAccepted(where="key", found=f"'{row.key}', which is taken", accepted="a key that is free")
    return _written(work, row, "added", collection)


def change_row(
    work: UnitOfWork, collection: str, key: str, values: Mapping[str, object], *, expected: int | None
) -> Any:
    """Change the named values of a row; what is not named stays.

    Raises:
        NotFound: there is no such row.
        NotAccepted: records are never changed, and a key never is.
        FolderRefused: a value is not accepted, or the row does not fit the farm.
        VersionStale: somebody changed the row since the version expected.
    """
    if collection in ADDED_ONLY:
        raise NotAccepted(where=collection, found="a change", accepted="a new record that corrects this one")
    row = row_of(work.farm, collection, key)
    if values.get("key", key) != key:
        raise NotAccepted(where="key", found=f"'{values['key']}'", accepted=f"'{key}': keys stay")
    return _written(work, row_from_values(collection, values, row), "changed", collection, expected=expected)


def _written(work: UnitOfWork, row: Any, what: str, collection: str, *, expected: int | None = None) -> Any:
    _check(work.farm, row)
    seq = work.enter(f"row-{what}", f"{collection}/{row.key}")
    work.put(row, entry=seq, expected_row_version=expected)
    return row


def _check(farm: Farm, row: Row) -> None:
    faults = list(farm_faults(with_rows(farm, [row])))
    if isinstance(row, Variety) and (conflict := food_conflict(row)) is not None:
        faults.append(Fault("varieties", None, "food_use", f"yes, though the caution says '{conflict}'", "no"))
    if faults:
        raise FolderRefused(faults=tuple(replace(fault, row=None) for fault in faults))


def _free_key(work: UnitOfWork, collection: str) -> str:
    taken = {row.key for row in rows_of(work.farm, collection)}
    number = work.next_seq
    while f"{collection[0]}{number}" in taken:
        number += 1
    return f"{collection[0]}{number}"
