"""Rows checked against the whole farm before they are written, whichever job writes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from haulm.crop_library.library import food_conflict
from haulm.farm.checks import faults_with
from haulm.farm.edits import COLLECTIONS, Row, identity, with_rows
from haulm.farm.faults import Fault, Way
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm_folder.faults import FolderRefused
from haulm.language.words import _


def require_sound(farm: Farm, rows: Iterable[Row], ways: Sequence[Way] = ()) -> None:
    """Refuse rows with which the farm would have a fault.

    Args:
        farm: the farm without them.
        rows: what is to be put in.
        ways: the way to each row in what was sent; none where a row is all of it.

    Raises:
        FolderRefused: every fault, by column; the place of a row in its collection is nobody's business here.
    """
    put_in = list(rows)
    varieties = [row for row in put_in if isinstance(row, Variety)]
    faults = list(faults_with(farm, put_in))
    no_food = food_faults("varieties", varieties, first_row=0)
    if faults or no_food:
        changed = with_rows(farm, put_in)
        faults += (replace(one, row=changed.varieties.index(varieties[one.row or 0])) for one in no_food)
        way_of = {(COLLECTIONS[type(row)], identity(row)): way for row, way in zip(put_in, ways, strict=False)}
        raise FolderRefused(faults=tuple(_placed(fault, changed, way_of) for fault in faults))


def _placed(fault: Fault, farm: Farm, way_of: Mapping[tuple[str, tuple[str, ...]], Way]) -> Fault:
    """A fault with the way to its row in what was sent, in the place of the row's own place."""
    if fault.row is None or fault.place not in COLLECTIONS.values():
        return fault
    row: Row = getattr(farm, fault.place)[fault.row]
    return replace(fault, row=None, within=way_of.get((fault.place, identity(row)), ()))


def food_faults(place: str, varieties: Iterable[Variety], *, first_row: int) -> tuple[Fault, ...]:
    """What is marked as food and cannot be: the plant, how it does harm, and the source that says so."""
    found = ((row, food_conflict(variety)) for row, variety in enumerate(varieties, first_row))
    return tuple(
        Fault(place, row, "food_use", _("yes, though {why}").format(why=conflict.why), conflict.accepted)
        for row, conflict in found
        if conflict is not None
    )
