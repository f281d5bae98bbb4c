"""Take a past year back, and put one back that was taken: the forecast is as if it had never been entered."""

from __future__ import annotations

from typing import Any

from haulm.errors import NotFound
from haulm.farm.past_years import PastYear
from haulm.farm_folder.cells import values_of
from haulm.jobs.change_rows import RowAsked, add_row, row_of
from haulm.jobs.desk import Desk
from haulm.store.unit_of_work import UnitOfWork

TAKEN_BACK = "past-year-taken-back"
_YEARS = "past_years"


def take_back_year(work: UnitOfWork, key: str, *, expected: int | None = None) -> PastYear:
    """Take one row out; the entry keeps what it said.

    Raises:
        NotFound: there is no such row.
        VersionStale: somebody changed the row since the version expected.
    """
    row: PastYear = row_of(work.farm, _YEARS, key)
    seq = work.enter(TAKEN_BACK, f"{_YEARS}/{key}", {"values": values_of(_YEARS, row)})
    work.remove(_YEARS, key, entry=seq, expected_row_version=expected)
    return row


def put_back_year(desk: Desk, work: UnitOfWork, key: str) -> PastYear:
    """Enter a row again as it was when it was taken back last.

    Raises:
        NotFound: none with that key was taken back.
        NotAccepted: it stands.
        FolderRefused: it does not fit the farm any more.
    """
    entry = work.last_entry(TAKEN_BACK, f"{_YEARS}/{key}")
    if entry is None:
        raise NotFound(kind="past year", key=key)
    values: dict[str, Any] = entry.facts["values"]
    found: PastYear = add_row(desk, work, RowAsked(_YEARS, values))
    return found
