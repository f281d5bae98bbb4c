"""One sowing in words, as it stands in a sentence about something else."""

from __future__ import annotations

from datetime import date

from haulm.farm.varieties import Crop
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Method
from haulm.language.words import _


def sowing_in_words(crop: Crop, method: Method, places: int, day: date) -> str:
    """So much of a kind, and its day: `80 places of White zinnia on Tue 11 May 2027`.

    Args:
        crop: the kind.
        method: how it is begun.
        places: places, plugs or tubers.
        day: the day it is sown or, of what is bought, planted.
    """
    if method is Method.PLUGS:
        return _("{places} bought plugs of {name}, planted on {day}").format(
            places=places, name=crop.name, day=day_in_words(day)
        )
    if method is Method.TUBER:
        return _("{places} {pieces} of {name}, planted on {day}").format(
            places=places, pieces=crop.costs.several_planted, name=crop.name, day=day_in_words(day)
        )
    return _("{places} places of {name} on {day}").format(places=places, name=crop.name, day=day_in_words(day))
