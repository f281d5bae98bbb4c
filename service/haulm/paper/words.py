"""Days, money, lengths and hazard as they stand on paper."""

from __future__ import annotations

from collections.abc import Container, Iterable
from datetime import date
from typing import Any

from haulm.farm.place_words import Place
from haulm.farm.varieties import Crop
from haulm.farm.warnings import Warned, general_words, handling_notes, warnings_at, weed_notes
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Form
from haulm.language.words import _, many, marked

NOT_FOR_FOOD = marked("Not for food.")
FOR_FOOD = marked("Grown for food use, says the farm.")
CARE = marked("Recut the stems, clean bucket, fresh water, cool and out of the sun.")
CARE_DRIED = marked("Dried: no water; dry, dark and airy.")


def care_of(forms: Iterable[Form]) -> str:
    """How stems of these forms are kept, fresh ones first."""
    there = frozenset(forms)
    return " ".join(_(words) for form, words in ((Form.FRESH, CARE), (Form.DRIED, CARE_DRIED)) if form in there)


"""The care line of a bucket (common practice)."""


def day(found: date) -> str:
    """A day in words: `Sat 14 Aug 2027`."""
    return day_in_words(found)


def iso_day(text: str | None) -> str:
    """A day in words from its ISO text; empty where there is none."""
    return day(date.fromisoformat(text)) if text else ""


def length(cm: int | None) -> str:
    """A length class by its lower limit: `40 cm`; empty where the farm has none."""
    return _("{cm} cm").format(cm=cm) if cm else ""


def warned_rows(warned: Iterable[Warned]) -> list[dict[str, str]]:
    """Warnings as the templates take them."""
    return [{"mark": one.mark, "names": one.names, "words": one.words} for one in warned]


def care_rows(place: Place, crops: Iterable[Crop], dry: Container[str] = ()) -> dict[str, Any]:
    """What is to be said of kinds at a place, each once, with the hints that are no hazards apart."""
    kinds = list(crops)
    return {
        "take_care": warned_rows(warnings_at(place, kinds, dry)),
        "general": list(general_words(place)) if kinds else [],
        "handling": list(handling_notes(kinds)),
        "weeds": list(weed_notes(kinds)),
    }


def food_words(crop: Crop) -> str:
    """Whether a kind is for food: only where the farm said so."""
    return _(FOR_FOOD) if crop.food_use else _(NOT_FOR_FOOD)


def stems_words(count: int) -> str:
    """A count of stems: `1 stem`, `40 stems`."""
    return many("{count} stem", "{count} stems", count)
