"""What a piece is used for, and which kinds are left out of it because of the caution they carry."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum

from haulm.farm.varieties import Crop


class Use(StrEnum):
    """Where a piece is worn or stands."""

    WORN = "worn"
    TABLE = "table"
    SET_UP = "set up"


_WORN = re.compile(r"bouquet|posy|buttonhole|boutonniere|corsage|crown|\bhair\b|lapel|bracelet")
_SET_UP = re.compile(r"arch|urn|aisle|chair|pew|bucket|loose|pedestal|installation|door|bunch|staircase|entrance")
_SKIN = re.compile(r"irrita|blister|dermatitis|burn|allerg|barbed|injur|spiny|\bawn(s|ed)?\b", re.IGNORECASE)
_POISON = re.compile(r"poison|toxic(?! to (pets|dogs|cats|stock))|ergot", re.IGNORECASE)
_ALL_POISONOUS = re.compile(r"all parts|sap (is )?(poison|toxic)|poisonous sap", re.IGNORECASE)


def use_of(piece: str) -> Use:
    """The use of a piece, by the words in its name; what none of them tells is taken to stand on a table."""
    name = piece.casefold()
    if _WORN.search(name):
        return Use.WORN
    return Use.SET_UP if _SET_UP.search(name) else Use.TABLE


def is_left_out(use: Use, caution: str | None) -> bool:
    """Whether a kind with this caution stays out of pieces of this use.

    Worn or held: what irritates, blisters or pricks the skin, has barbed awns, or is poisonous in all its parts.
    On a table, near food: all that, and whatever else is poisonous to people. What is set up out of reach takes any
    kind. Being toxic to pets leaves nothing out; the caution is told (common practice).
    """
    if not caution or use is Use.SET_UP:
        return False
    if _SKIN.search(caution):
        return True
    poisonous = _POISON.search(caution) is not None
    return poisonous if use is Use.TABLE else poisonous and _ALL_POISONOUS.search(caution) is not None


def left_out(uses: Iterable[Use], crops: Mapping[str, Crop]) -> tuple[str, ...]:
    """Keys of the kinds that stay out of pieces of these uses, by key."""
    found = tuple(uses)
    return tuple(key for key in sorted(crops) if any(is_left_out(use, crops[key].caution) for use in found))
