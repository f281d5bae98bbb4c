"""What plant a farm's variety is, by every name it has, and whether it may be for food."""

from __future__ import annotations

import re
from typing import NamedTuple

from haulm.crop_library.library_crop import LibraryCrop, botanical_names, plain_name
from haulm.farm.faults import quoted
from haulm.farm.hazards import BY_THE_FARM, NEVER_FOOD, Hazard, Severity, hazard_words, hazards_said, worst_first
from haulm.farm.varieties import Variety
from haulm.farm.words import HazardClass
from haulm.hazard_register.lookup import Ambiguous, Known, LookedUp, Unknown, is_known_botanically, looked_up, suggested
from haulm.hazard_register.tables import FROM_MEMORY, register

NOT_FOOD = re.compile(
    r"poison|toxic|irrita|blister|dermatitis|burn|allerg|ergot|barbed|injur|\bawn(s|ed)?\b|out of food|not for food"
    r"|do(n't| not) eat|lethal|deadly|(not|in)[ -]?edible",
    re.IGNORECASE,
)
"""Words of a caution that bar a stem from food (common practice: poison, irritant, awn, ergot, and saying so)."""


_UNPUBLISHED = {FROM_MEMORY: "from memory", BY_THE_FARM: "the farm's own"}


class FoodBar(NamedTuple):
    """Why a variety is not for food, beginning with its name, and what would be accepted instead."""

    why: str
    accepted: str = "no"


def plant_of(variety: Variety, kind: LibraryCrop | None) -> LookedUp:
    """The plant that a variety's names mean: the kind's botanical name first, else its own; then its name and key."""
    own = variety.botanical_name or None
    if kind is None:
        return looked_up(own, variety.name, variety.key)
    return looked_up(kind.botanical_name, *filter(None, (own, variety.name, variety.key)))


def hazards_of(variety: Variety, kind: LibraryCrop | None) -> tuple[Hazard, ...]:
    """The harm of a variety's plant by the register, and what the farm's own caution adds; the worst first."""
    return worst_first((*plant_of(variety, kind).hazards, *hazards_said(variety.caution or "")))


def food_bar(variety: Variety, kind: LibraryCrop | None) -> FoodBar | None:
    """What bars a variety from food, whether or not the farm marks it so; None where nothing does.

    No plant with a hazard of `NEVER_FOOD`, or with any that is dangerous, is food; none that may be taken for food
    until its species is named; none that nobody knows; and none whose caution says so. A caution of the library's does
    not bar what is commonly eaten.
    """
    plant = plant_of(variety, kind)
    return _by_hazard(variety, plant) or _by_doubt(variety, kind, plant) or _by_caution(variety, kind, plant)


def open_question(variety: Variety, kind: LibraryCrop | None) -> str | None:
    """What the farm should say of a variety's plant, in a sentence; None where its names are plain, or tell nothing."""
    plant = plant_of(variety, kind)
    if isinstance(plant, Ambiguous):
        worst = " Until its botanical name says which, the worst of them holds." if plant.hazards else ""
        return f"{quoted(variety.name)} may be {_either(plant.genera)}.{worst}"
    if isinstance(plant, Unknown) and kind is None and plant.suggestions:
        nearest = _either(tuple(map(str, plant.suggestions)))
        return f"Nobody here knows {quoted(variety.name)}: is it {nearest}? Its botanical name would say."
    return None


def near_harm(variety: Variety, kind: LibraryCrop | None) -> str:
    """What to treat a plant as that nobody knows and whose name is spelt like a harmful one's; empty for others."""
    plant = plant_of(variety, kind)
    if kind is not None or not isinstance(plant, Unknown):
        return ""
    near = [(one, looked_up(None, one.name).hazards) for one in plant.suggestions]
    harmful = [(hazards[0], one) for one, hazards in near if hazards and hazards[0].severity >= Severity.HARMFUL]
    if not harmful:
        return ""
    worst, one = max(harmful, key=lambda found: found[0].severity)
    return f"plant not known for certain; until it is, treat it as {one}: {hazard_words(worst)}"


def is_unknown(variety: Variety, kind: LibraryCrop | None) -> bool:
    """Whether nobody knows what plant a variety is, by any of its names."""
    plant = plant_of(variety, kind)
    return kind is None and isinstance(plant, Unknown) and not plant.hazards


def citations_of(hazards: tuple[Hazard, ...]) -> str:
    """The sources of hazards, each once."""
    ids = dict.fromkeys(source for hazard in hazards for source in hazard.sources)
    return "; ".join(_UNPUBLISHED.get(source) or register().sources[source] for source in ids)


def _by_hazard(variety: Variety, plant: LookedUp) -> FoodBar | None:
    for hazard in plant.hazards:
        if hazard.hazard_class in NEVER_FOOD or hazard.severity is Severity.DANGEROUS:
            doubt = ", or a botanical name that says which it is" if isinstance(plant, Ambiguous) else ""
            return FoodBar(_hazard_sentence(variety, plant, hazard), f"no{doubt}")
    is_named = isinstance(plant, Known) and plant.is_species_named
    confused = [hazard for hazard in plant.hazards if hazard.hazard_class is HazardClass.FOOD_CONFUSION]
    if confused and not is_named:
        return FoodBar(_hazard_sentence(variety, plant, confused[0]), "no, or a botanical name with its species")
    return None


def _hazard_sentence(variety: Variety, plant: LookedUp, hazard: Hazard) -> str:
    is_it = f"is {hazard.genus}"
    if isinstance(plant, Ambiguous):
        is_it = f"may be {_either(plant.genera)}; the worst, {hazard.genus}"
    best = min(hazard.sources, key=_UNPUBLISHED.__contains__)
    source = _UNPUBLISHED.get(best) or register().sources[best]
    return f"{quoted(variety.name)} {is_it}: {hazard_words(hazard)} (source: {source})"


def _by_doubt(variety: Variety, kind: LibraryCrop | None, plant: LookedUp) -> FoodBar | None:
    if isinstance(plant, Ambiguous):
        why = f"{quoted(variety.name)} may be {_either(plant.genera)}"
        return FoodBar(why, "no, or a botanical name that says which it is")
    strange = _strange_name(variety, kind, plant)
    if strange is None:
        return None
    nearest = suggested([strange])
    near = f"; the nearest names are {_either(tuple(map(str, nearest)))}" if nearest else ""
    return FoodBar(f"nobody here knows what {quoted(strange)} is{near}", "no, or a botanical name that is known")


def _strange_name(variety: Variety, kind: LibraryCrop | None, plant: LookedUp) -> str | None:
    """The name that nobody knows: the botanical one where the farm gives one, else its own."""
    own = variety.botanical_name
    if own and not is_known_botanically(own) and (kind is None or plain_name(own) not in botanical_names(kind)):
        return own
    return variety.name if isinstance(plant, Unknown) and kind is None else None


def _by_caution(variety: Variety, kind: LibraryCrop | None, plant: LookedUp) -> FoodBar | None:
    is_eaten = isinstance(plant, Known) and plant.is_edible
    librarys = "" if kind is None or is_eaten else kind.caution or ""
    for caution in (variety.caution or "", librarys):
        if NOT_FOOD.search(caution):
            return FoodBar(f"the caution of {quoted(variety.name)} says {quoted(caution)}")
    return None


def _either(names: tuple[str, ...]) -> str:
    *before, last = names
    return f"{', '.join(before)} or {last}" if before else last
