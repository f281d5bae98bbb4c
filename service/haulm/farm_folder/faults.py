"""The refusals of the farm folder: one for what was read, one for where it would be written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from haulm.errors import HaulmError
from haulm.farm.faults import Fault


class FolderRefused(HaulmError):
    """A farm folder was read whole and has faults; every one of them is in `faults`."""

    code = "folder-refused"

    def __init__(self, *, faults: tuple[Fault, ...]) -> None:
        more = len(faults) - 1
        rest = "" if more == 0 else f" There {'is 1 more fault' if more == 1 else f'are {more} more faults'}."
        super().__init__(f"{faults[0]}{rest}", faults=[_as_fact(fault) for fault in faults])
        self.faults = faults


@contextmanager
def within(*way: str | int) -> Iterator[None]:
    """Say of every fault found while it is open that its row is in this part of what was sent."""
    try:
        yield
    except FolderRefused as refusal:
        faults = tuple(replace(fault, within=(*way, *fault.within)) for fault in refusal.faults)
        raise FolderRefused(faults=faults) from None


class FolderNotWritten(HaulmError):
    """A farm folder could not be written where it was asked; what stood there still stands."""

    code = "folder-not-written"

    def __init__(self, *, folder: str, reason: str) -> None:
        super().__init__(f"Nothing was written to {folder}: {reason}.", folder=folder, reason=reason)


def _as_fact(fault: Fault) -> dict[str, object]:
    return {
        "file": fault.place,
        "row": fault.row,
        "column": fault.column,
        "found": fault.found,
        "accepted": fault.accepted,
    }
