"""Enter several rows that belong together, all or none, under one entry of the journal.

What a farm had agreed before it came here is taken as it is, as in a folder that is brought in: no promise is judged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.crop_library.library import library
from haulm.farm.edits import with_rows
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import within
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.new_keys import new_key
from haulm.jobs.quotes.keep_prices import price_kept
from haulm.store.unit_of_work import UnitOfWork

KINDS_PICKED = "kinds-picked"
BEDS_MADE = "beds-made"
FLORIST_ENTERED = "florist-entered"
WEDDING_ENTERED = "wedding-entered"


@dataclass(frozen=True, slots=True)
class KeyOf:
    """Stands for the key of a row that is entered before it, by its place."""

    place: int


@dataclass(frozen=True, slots=True)
class NewRow:
    """A row as it is asked for, without its key.

    Attributes:
        collection: where it belongs.
        values: its values by column; `KeyOf` for a row entered before it.
        within: a word its key begins with.
    """

    collection: str
    values: Mapping[str, object]
    within: str | None = None


def enter_rows(work: UnitOfWork, kind: str, rows: Sequence[NewRow], today: date) -> tuple[Any, ...]:
    """Put in rows that belong together.

    Args:
        work: the unit of work.
        kind: of their entry.
        rows: what is to be put in, what others name first.
        today: the day, for the prices that lines keep.

    Raises:
        FolderRefused: a value is not accepted, or the rows do not fit the farm; each fault with the place of its row.
    """
    farm = work.farm
    made: list[Any] = []
    for place, asked in enumerate(rows):
        values = {
            name: made[value.place].key if isinstance(value, KeyOf) else value for name, value in asked.values.items()
        }
        values["key"] = new_key(farm, asked.collection, values, within=asked.within)
        with within(place):
            row = row_from_values(asked.collection, values)
        farm = with_rows(farm, [row])
        made.append(row)
    require_sound(work.farm, made, [(place,) for place in range(len(made))])
    # Only of rows that fit: a price is looked up by what they name.
    priced = tuple(price_kept(farm, row, asked.values, today=today) for row, asked in zip(made, rows, strict=True))
    seq = work.enter(kind, "farm", {"rows": len(priced)})
    for row in priced:
        work.put(row, entry=seq)
    return priced


def picked_kind(key: str, colour: str = "") -> NewRow:
    """A kind of the library as a row of the farm: under the library's name, its figures left to the library."""
    kind = library()[key]
    name = f"{kind.name}, {colour}" if colour else kind.name
    return NewRow("varieties", {"name": name, "colour": colour}, within=key)
