"""Rows checked against the whole farm before they are written, whichever job writes them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulm.crop_library.library import food_conflict
from haulm.farm.checks import faults_with
from haulm.farm.edits import Row
from haulm.farm.faults import Fault
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm_folder.faults import FolderRefused


def require_sound(farm: Farm, rows: Iterable[Row]) -> None:
    """Refuse rows with which the farm would have a fault.

    Raises:
        FolderRefused: every fault, by column; the place of a row in its collection is nobody's business here.
    """
    put_in = list(rows)
    faults = list(faults_with(farm, put_in))
    for row in put_in:
        if isinstance(row, Variety) and (conflict := food_conflict(row)) is not None:
            faults.append(Fault("varieties", None, "food_use", f"yes, though the caution says '{conflict}'", "no"))
    if faults:
        raise FolderRefused(faults=tuple(replace(fault, row=None) for fault in faults))
