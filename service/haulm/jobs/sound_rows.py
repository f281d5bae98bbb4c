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
    faults += food_faults("varieties", [row for row in put_in if isinstance(row, Variety)], first_row=0)
    if faults:
        raise FolderRefused(faults=tuple(replace(fault, row=None) for fault in faults))


def food_faults(place: str, varieties: Iterable[Variety], *, first_row: int) -> tuple[Fault, ...]:
    """What is marked as food and cannot be: the plant, how it does harm, and the source that says so."""
    found = ((row, food_conflict(variety)) for row, variety in enumerate(varieties, first_row))
    return tuple(
        Fault(place, row, "food_use", f"yes, though {conflict.why}", conflict.accepted)
        for row, conflict in found
        if conflict is not None
    )
