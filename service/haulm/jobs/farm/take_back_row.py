"""Take a row back, and put one back that was taken: everything is as if it had never been entered.

Only of collections that nothing else refers to: past years and usual sales.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from haulm.errors import NotFound
from haulm.farm_folder.cells import row_from_values, values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, row_of
from haulm.store.unit_of_work import UnitOfWork

TAKEN_BACK = {"past_years": "past-year-taken-back", "usual_sales": "usual-sale-taken-back"}
"""The collections whose rows can be taken back, and the kind of entry that keeps what such a row said."""


_MOST_GONE = 5


def take_back_row(work: UnitOfWork, collection: str, key: str, *, expected: int | None = None) -> Any:
    """Take one row out; the entry keeps what it said.

    Raises:
        NotFound: there is no such row.
        VersionStale: somebody changed the row since the version expected.
    """
    row = row_of(work.farm, collection, key)
    seq = work.enter(TAKEN_BACK[collection], f"{collection}/{key}", {"values": values_of(collection, row)})
    work.remove(collection, key, entry=seq, expected_row_version=expected)
    return row


def put_back_row(desk: Desk, work: UnitOfWork, collection: str, key: str) -> Any:
    """Enter a row again as it was when it was taken back last.

    Raises:
        NotFound: none with that key was taken back.
        NotAccepted: it stands.
        FolderRefused: it does not fit the farm any more.
    """
    entry = work.last_entry(TAKEN_BACK[collection], f"{collection}/{key}")
    if entry is None:
        raise NotFound(kind=collection.replace("_", " ").removesuffix("s"), key=key)
    values: dict[str, Any] = entry.facts["values"]
    return add_row(desk, work, RowAsked(collection, values))


def rows_gone(desk: Desk, collection: str, fits: Callable[[Any], bool]) -> tuple[Any, ...]:
    """The rows taken back last that could be put back, the last first: each key once, as it was.

    Args:
        desk: the desk.
        collection: one of `TAKEN_BACK`.
        fits: whether a row still fits the farm as it stands.
    """
    standing = {row.key for row in getattr(desk.store.farm(), collection)}
    found: dict[str, Any] = {}
    for entry in reversed(desk.store.entries_of(TAKEN_BACK[collection])):
        row = row_from_values(collection, entry.facts["values"])
        if row.key not in standing and fits(row):
            found.setdefault(row.key, row)
    return tuple(found.values())[:_MOST_GONE]
