"""How a plant does harm: one way of one genus, and the words for it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import IntEnum

from haulm.farm.words import HazardClass, PlantPart
from haulm.language.words import _, marked


class Severity(IntEnum):
    """How bad it is."""

    MILD = 1
    HARMFUL = 2
    DANGEROUS = 3


@dataclass(frozen=True, slots=True)
class Hazard:
    """One way in which a genus does harm.

    Attributes:
        genus: its botanical name; empty where only the farm says so.
        species: the epithets for which it holds; none for the whole genus.
        hazard_class: the way.
        severity: how bad.
        parts: the parts that do it.
        note: a sentence, empty where the class says it all.
        sources: ids of the register's sources; `from_memory` where it is that, `farm` where the farm says so.
    """

    genus: str
    species: tuple[str, ...]
    hazard_class: HazardClass
    severity: Severity
    parts: tuple[PlantPart, ...]
    note: str
    sources: tuple[str, ...]

    def __post_init__(self) -> None:
        assert self.sources, "what is said of a plant has a source"


BY_THE_FARM = "farm"
"""The source of what the farm's own caution says."""
NEVER_FOOD: frozenset[HazardClass] = frozenset(
    {HazardClass.POISON, HazardClass.EYE, HazardClass.SKIN, HazardClass.SUN, HazardClass.AWN}
)
"""Ways of doing harm with which nothing is food at all."""

_WORDS: Mapping[HazardClass, Mapping[Severity, str]] = {
    HazardClass.POISON: {
        Severity.MILD: marked("mildly poisonous"),
        Severity.HARMFUL: marked("poisonous"),
        Severity.DANGEROUS: marked("dangerously poisonous"),
    },
    HazardClass.EYE: {
        Severity.MILD: marked("irritates the eyes"),
        Severity.HARMFUL: marked("hurts the eyes"),
        Severity.DANGEROUS: marked("can blind an eye"),
    },
    HazardClass.SUN: {
        Severity.MILD: marked("reddens skin in sunlight"),
        Severity.HARMFUL: marked("burns skin in sunlight"),
        Severity.DANGEROUS: marked("burns skin badly in sunlight"),
    },
    HazardClass.SKIN: {
        Severity.MILD: marked("may irritate skin"),
        Severity.HARMFUL: marked("irritates skin"),
        Severity.DANGEROUS: marked("burns or blisters skin"),
    },
    HazardClass.AWN: dict.fromkeys(Severity, marked("awns work into mouths, eyes and paws")),
    HazardClass.FOOD_CONFUSION: dict.fromkeys(Severity, marked("easily taken for food")),
    HazardClass.THORN: dict.fromkeys(Severity, marked("thorns or spines")),
    HazardClass.ALLERGY: dict.fromkeys(Severity, marked("can set off allergies")),
    HazardClass.PETS: {
        Severity.MILD: marked("mildly harmful to pets"),
        Severity.HARMFUL: marked("harmful to pets"),
        Severity.DANGEROUS: marked("can kill pets"),
    },
}
assert set(_WORDS) == set(HazardClass), "every way of doing harm has words"
assert all(set(words) == set(Severity) for words in _WORDS.values()), "every severity has words"
_PARTS: Mapping[PlantPart, str] = {
    PlantPart.ALL: marked("all parts"),
    PlantPart.ROOT: marked("roots"),
    PlantPart.BULB: marked("bulb"),
    PlantPart.LEAF: marked("leaves"),
    PlantPart.SEED: marked("seeds"),
    PlantPart.FLOWER: marked("flowers"),
    PlantPart.HAIR: marked("hairs"),
    PlantPart.STEM: marked("stems"),
    PlantPart.AWN: marked("awns"),
}
_SAID: Mapping[HazardClass, re.Pattern[str]] = {
    HazardClass.POISON: re.compile(
        r"poison|lethal|deadly|toxic(?! to (some |the )?(pets|dogs|cats|stock))|ergot", re.I
    ),
    HazardClass.EYE: re.compile(r"\beyes?\b", re.I),
    HazardClass.SUN: re.compile(r"\bsun|phototoxic|phytophoto", re.I),
    HazardClass.SKIN: re.compile(r"skin|irrita|blister|dermatitis|\bburn", re.I),
    HazardClass.AWN: re.compile(r"\bawn(s|ed)?\b|barbed", re.I),
    HazardClass.FOOD_CONFUSION: re.compile(r"confus|mistaken|taken for", re.I),
    HazardClass.THORN: re.compile(r"thorn|spine|spiny|prickl", re.I),
    HazardClass.ALLERGY: re.compile(r"allerg", re.I),
    HazardClass.PETS: re.compile(r"\b(pets?|dogs?|cats?|animals)\b", re.I),
}
assert set(_SAID) == set(HazardClass), "every way of doing harm is found in the farm's own words"
_GOES_WITH: Mapping[HazardClass, tuple[HazardClass, ...]] = {
    HazardClass.SUN: (HazardClass.SKIN,),
    HazardClass.AWN: (HazardClass.EYE, HazardClass.PETS),
}
"""A way of doing harm whose words speak of others as well: what burns skin in sunlight irritates skin."""
_SAID_GRAVELY = re.compile(r"all parts|danger|deadly|lethal|kill|blister|badly", re.I)


def worst_first(hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    """Hazards, each once, the worst first; of two as bad the graver class."""
    order = list(HazardClass)
    return tuple(
        sorted(
            dict.fromkeys(hazards), key=lambda one: (-one.severity, order.index(one.hazard_class), one.genus, one.parts)
        )
    )


def gravity(hazards: Iterable[Hazard]) -> tuple[int, int]:
    """What ranks kinds by the worst that they do, the worst kind first: severity, then the graver class."""
    order = list(HazardClass)
    return min(((-one.severity, order.index(one.hazard_class)) for one in hazards), default=(0, 0))


def hazard_words(hazard: Hazard) -> str:
    """A hazard in a few words, such as `dangerously poisonous (all parts)`."""
    words = _(_WORDS[hazard.hazard_class][hazard.severity])
    parts = (PlantPart.ALL,) if PlantPart.ALL in hazard.parts else hazard.parts
    named = [_(_PARTS.get(part, str(part))) for part in parts if str(part) != str(hazard.hazard_class)]
    if hazard.hazard_class is HazardClass.FOOD_CONFUSION and parts != (PlantPart.ALL,) and named:
        *before, last = named
        return (
            _("{before} and {last} {words}").format(before=", ".join(before), last=last, words=words)
            if before
            else f"{last} {words}"
        )
    return f"{words} ({', '.join(named)})" if named else words


def classes_said(caution: str) -> frozenset[HazardClass]:
    """The ways of doing harm of which a caution speaks in its own words."""
    return frozenset(name for name, pattern in _SAID.items() if pattern.search(caution))


def hazards_said(caution: str) -> tuple[Hazard, ...]:
    """The hazards of which the farm's own caution speaks; by all parts or the sap where it says so."""
    parts = (PlantPart.ALL,) if "all parts" in caution.casefold() else ()
    parts = (*parts, PlantPart.SAP) if re.search(r"\bsap\b", caution, re.I) else parts
    return tuple(
        Hazard("", (), name, Severity.HARMFUL, parts, caution, (BY_THE_FARM,)) for name in sorted(classes_said(caution))
    )


def caution_beyond(hazards: Iterable[Hazard], caution: str) -> tuple[str, ...]:
    """The clauses of a caution that hazards do not say already; a clause that names no way of doing harm stays."""
    known = {hazard.hazard_class for hazard in hazards}
    known |= {said for way in known for said in _GOES_WITH.get(way, ())}
    clauses = filter(None, (clause.strip() for clause in caution.split(";")))
    return tuple(clause for clause in clauses if not classes_said(clause) <= known or not classes_said(clause))


def caution_with(hazards: Iterable[Hazard], caution: str) -> str:
    """A caution with what is known beyond it before its own words: the worst first, each way of doing harm once."""
    said = classes_said(caution)
    words: dict[HazardClass, str] = {}
    for hazard in worst_first(hazards):
        is_grave = hazard.severity is Severity.DANGEROUS
        if hazard.hazard_class not in said or (is_grave and not _SAID_GRAVELY.search(caution)):
            words.setdefault(hazard.hazard_class, hazard_words(hazard))
    return "; ".join([*(word for word in words.values() if word not in caution), *([caution] if caution else [])])
