"""One sowing in words, as it stands in a sentence about something else."""

from __future__ import annotations

from datetime import date

from haulm.farm.varieties import Crop
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Method


def sowing_in_words(crop: Crop, method: Method, places: int, day: date) -> str:
    """So much of a kind, and its day: `80 places of White zinnia on Tue 11 May 2027`.

    Args:
        crop: the kind.
        method: how it is begun.
        places: places, plugs or tubers.
        day: the day it is sown or, of what is bought, planted.
    """
    if method is Method.PLUGS:
        return f"{places} bought plugs of {crop.name}, planted on {day_in_words(day)}"
    if method is Method.TUBER:
        return f"{places} {crop.costs.planted_as}s of {crop.name}, planted on {day_in_words(day)}"
    return f"{places} places of {crop.name} on {day_in_words(day)}"
