"""What a piece is used for, and which kinds are left out of it because of the harm they can do."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum

from haulm.farm.hazards import Hazard, Severity
from haulm.farm.varieties import Crop
from haulm.farm.words import HazardClass, PlantPart


class Use(StrEnum):
    """Where a piece is worn or stands."""

    WORN = "worn"
    TABLE = "table"
    SET_UP = "set up"


_WORN = re.compile(r"bouquet|posy|buttonhole|boutonniere|corsage|crown|\bhair\b|lapel|bracelet")
_SET_UP = re.compile(r"arch|urn|aisle|chair|pew|bucket|loose|pedestal|installation|door|bunch|staircase|entrance")
_TOUCHED = frozenset({HazardClass.SKIN, HazardClass.SUN, HazardClass.THORN, HazardClass.AWN, HazardClass.EYE})
_ON_THE_SKIN = frozenset({PlantPart.ALL, PlantPart.SAP})


def use_of(piece: str) -> Use:
    """The use of a piece, by the words in its name; what none of them tells is taken to stand on a table."""
    name = piece.casefold()
    if _WORN.search(name):
        return Use.WORN
    return Use.SET_UP if _SET_UP.search(name) else Use.TABLE


def is_left_out(use: Use, hazards: Iterable[Hazard]) -> bool:
    """Whether a kind with these hazards stays out of pieces of this use.

    Worn or held: what irritates or burns the skin, hurts the eyes, has thorns or awns, or is poisonous in all its parts
    or its sap. On a table, near food: all that, and whatever else is poisonous to people. What is set up out of reach
    takes any kind. What is mild, harm to pets and allergies leave nothing out; the caution is told (common practice).
    """
    return use is not Use.SET_UP and any(_keeps_from(use, hazard) for hazard in hazards)


def left_out(uses: Iterable[Use], crops: Mapping[str, Crop]) -> tuple[str, ...]:
    """Keys of the kinds that stay out of pieces of these uses, by key."""
    found = tuple(uses)
    return tuple(key for key in sorted(crops) if any(is_left_out(use, crops[key].hazards) for use in found))


def _keeps_from(use: Use, hazard: Hazard) -> bool:
    if hazard.severity is Severity.MILD:
        return False
    if hazard.hazard_class is HazardClass.POISON:
        return use is Use.TABLE or not _ON_THE_SKIN.isdisjoint(hazard.parts)
    return hazard.hazard_class in _TOUCHED
