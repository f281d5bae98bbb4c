"""Take a row back, and put one back that was taken: everything is as if it had never been entered.

Only of collections that nothing else refers to: past years and usual sales.
"""

from __future__ import annotations

from typing import Any

from haulm.errors import NotFound
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, row_of
from haulm.store.unit_of_work import UnitOfWork

TAKEN_BACK = {"past_years": "past-year-taken-back", "usual_sales": "usual-sale-taken-back"}
"""The collections whose rows can be taken back, and the kind of entry that keeps what such a row said."""


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
