"""Columns of a sheet that names none: guessed from what stands in them, for somebody to look at."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.farm.snapshot import Farm
from haulm.farm_folder.sheet_columns import Field, Reads, Target
from haulm.farm_folder.sheet_values import DateOrder, quantity_of
from haulm.jobs.farm.sheet_cells import CellReader, Unread

_LIKELY = 0.8
"""The share of a column's cells that have to read as a field's, so that the column is guessed to be that field."""
_LOOKED_AT = 60
"""So many rows are enough to guess by."""
_SUREST_FIRST = (
    Reads.KIND,
    Reads.CUSTOMER,
    Reads.BED,
    Reads.EMAIL,
    Reads.WEEKDAY,
    Reads.METHOD,
    Reads.BED_KIND,
    Reads.DAY,
    Reads.PLACES,
    Reads.STEMS,
    Reads.METRES,
    Reads.CENTIMETRES,
    Reads.COUNT,
    Reads.MONEY,
    Reads.TRAYS,
    Reads.TEXT,
)
"""What can hardly be anything else comes first; words that may be anything last."""
assert set(_SUREST_FIRST) == set(Reads), "every way of reading has its turn"


def guessed_columns(farm: Farm, target: Target, rows: Sequence[Sequence[str]], today: date) -> tuple[str, ...]:
    """For each column the field that its cells read as, or nothing.

    Args:
        farm: for the names of its kinds, beds and customers.
        target: what the sheet holds.
        rows: all its rows, since none of them names the columns.
        today: for days that say no year.
    """
    # Which number is the day is asked later; here it is enough that it is a day.
    cells = CellReader(farm, DateOrder.DAY, today)
    columns = [[cell for cell in column if cell] for column in zip(*rows[:_LOOKED_AT], strict=True)]
    found: dict[int, str] = {}
    for field in sorted(target.fields, key=lambda one: _SUREST_FIRST.index(one.reads)):
        place = next((at for at, own in enumerate(columns) if at not in found and _reads_as(cells, field, own)), None)
        if place is not None:
            found[place] = field.name
    return tuple(found.get(at, "") for at in range(len(columns)))


def _reads_as(cells: CellReader, field: Field, own: Sequence[str]) -> bool:
    if not own:
        return False
    good = sum(1 for cell in own if _is_one(cells, field.reads, cell))
    return good >= _LIKELY * len(own)


def _is_one(cells: CellReader, reads: Reads, cell: str) -> bool:
    if reads is Reads.TEXT:
        return quantity_of(cell) is None and "@" not in cell
    if reads is Reads.EMAIL:
        return "@" in cell
    return not isinstance(cells.read(reads, cell), Unread)
