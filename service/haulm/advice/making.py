"""The time it takes to make a piece: the farm's own figure, else a starting one."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.advice.piece_names import named_piece
from haulm.language.words import marked

STARTING_MINUTES: Mapping[str, int] = {
    marked("aisle end"): 10,
    marked("arch"): 240,
    marked("attendant bouquet"): 30,
    marked("bridal bouquet"): 60,
    marked("buttonhole"): 8,
    marked("corsage"): 15,
    marked("filler bouquet"): 15,
    marked("flower crown"): 45,
    marked("large centre"): 45,
    marked("loose bucket"): 5,
    marked("low centre"): 20,
    marked("small jar"): 5,
    marked("table jar"): 10,
}
"""Minutes of making one piece [min]. Source: from memory; a farm that times itself writes its own."""
MINUTES_PER_STEM = 0.6
"""For a piece that nobody has timed (from memory)."""


def minutes_of(piece: str, stems: int, own: Mapping[str, int]) -> int:
    """Minutes of making one piece of so many stems [min]."""
    name = named_piece(piece, own, STARTING_MINUTES)
    if name is None:
        return round(MINUTES_PER_STEM * stems)
    return own[name] if name in own else STARTING_MINUTES[name]
