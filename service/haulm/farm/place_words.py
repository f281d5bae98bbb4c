"""What to do about a hazard where somebody acts: a place, a way of doing harm, how bad it must be, and the words.

All of it is the usual care of growers and florists (common practice), no medical advice.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from haulm.farm.hazards import Severity
from haulm.farm.words import HazardClass, PlantPart


class Place(StrEnum):
    """Where somebody acts on stems."""

    WALK = "walk"
    CUT = "cut"
    CONDITIONING = "conditioning"
    BENCH = "bench"
    HEATED_BENCH = "heated_bench"
    BOUQUET = "bouquet"
    TABLE = "table"
    FOOD_TABLE = "food_table"
    HOME = "home"


PLACE_NAMES: Mapping[Place, str] = {
    Place.WALK: "on the walk",
    Place.CUT: "cutting",
    Place.CONDITIONING: "stripping and conditioning",
    Place.BENCH: "on the bench",
    Place.HEATED_BENCH: "on the heated bench",
    Place.BOUQUET: "in a bouquet",
    Place.TABLE: "on a table",
    Place.FOOD_TABLE: "on a table with food",
    Place.HOME: "in a home",
}

HEATED_BENCH_CARE = (
    "Heated bench: electricity beside water. Switch it off at the plug before you water or reach in, "
    "never run heating or pump dry, keep to the maker's instructions; wiring is for a licensed electrician."
)
FOOD_CARE = "Nothing goes on a plate or a cake that the farm has not said is grown for food."

GENERAL: Mapping[Place, tuple[str, ...]] = {
    Place.CONDITIONING: ("Gloves for stripping, whatever the kind.",),
    Place.HEATED_BENCH: (HEATED_BENCH_CARE,),
    Place.FOOD_TABLE: (FOOD_CARE,),
}
"""What is to be said at a place whatever the kinds are."""

MISSING_PARTS: Mapping[Place, frozenset[PlantPart]] = {
    **dict.fromkeys(Place, frozenset({PlantPart.BULB, PlantPart.ROOT})),
    **dict.fromkeys(
        (Place.BENCH, Place.HEATED_BENCH),
        frozenset({PlantPart.FLOWER, PlantPart.POLLEN, PlantPart.FRUIT, PlantPart.AWN}),
    ),
}
"""Parts that nobody meets at a place: cut stems have no bulb, seedlings no flower; what is dangerous is said anyway."""


class Said(NamedTuple):
    """From what severity on a way of doing harm is said at a place, and what to do; clauses with `; ` between them."""

    least: Severity
    words: str


_MILD, _HARMFUL, _DANGEROUS = Severity.MILD, Severity.HARMFUL, Severity.DANGEROUS
_POISON, _EYE, _SUN = HazardClass.POISON, HazardClass.EYE, HazardClass.SUN
_SKIN, _AWN, _FOOD = HazardClass.SKIN, HazardClass.AWN, HazardClass.FOOD_CONFUSION
_THORN, _ALLERGY, _PETS = HazardClass.THORN, HazardClass.ALLERGY, HazardClass.PETS

_BENCH: Mapping[HazardClass, Said] = {
    _POISON: Said(_HARMFUL, "gloves; nothing to eat on the bench; seeds and bulbs out of children's reach"),
    _EYE: Said(_MILD, "gloves; hands off your face; rinse an eye with water at once"),
    _SUN: Said(_MILD, "gloves when pricking out; wash sap off at once"),
    _SKIN: Said(_MILD, "gloves when pricking out"),
    _AWN: Said(_HARMFUL, "sweep up chaff after sowing"),
    _FOOD: Said(_MILD, "label every tray; never beside kitchen herbs or vegetables"),
    _THORN: Said(_HARMFUL, "gloves when potting on"),
    _ALLERGY: Said(_HARMFUL, "gloves when pricking out"),
    _PETS: Said(_DANGEROUS, "no pets at the bench"),
}

WORDS: Mapping[Place, Mapping[HazardClass, Said]] = {
    Place.WALK: {
        _POISON: Said(_DANGEROUS, "wash your hands if you touched it"),
        _EYE: Said(_HARMFUL, "keep your face away"),
        _SUN: Said(_MILD, "long sleeves and trousers, above all in sun"),
        _SKIN: Said(_HARMFUL, "do not brush past bare-armed"),
        _AWN: Said(_MILD, "keep dogs out; look over their paws, ears and mouths, and your socks"),
        _FOOD: Said(_DANGEROUS, "taste nothing"),
        _THORN: Said(_HARMFUL, "gloves where you reach in"),
        _ALLERGY: Said(_HARMFUL, "whoever is allergic keeps away in flower"),
        _PETS: Said(_DANGEROUS, "keep dogs and cats out of the bed"),
    },
    Place.CUT: {
        _POISON: Said(_HARMFUL, "gloves; hands off your mouth; wash them before you eat"),
        _EYE: Said(_MILD, "keep it from your eyes, glasses on; rinse an eye with water at once and see a doctor"),
        _SUN: Said(_MILD, "gloves and long sleeves; cut in shade or towards evening; wash sap off at once"),
        _SKIN: Said(_MILD, "gloves"),
        _AWN: Said(_MILD, "cut before heads shatter; keep heads from pets' mouths"),
        _FOOD: Said(_DANGEROUS, "never in one basket with anything to eat"),
        _THORN: Said(_MILD, "thick gloves"),
        _ALLERGY: Said(_MILD, "gloves, and a mask in dust and pollen for whoever is allergic"),
        _PETS: Said(_DANGEROUS, "leave no trimmings where pets can chew them"),
    },
    Place.CONDITIONING: {
        _POISON: Said(_HARMFUL, "gloves; the vase water is poisonous: keep it from children and pets"),
        _EYE: Said(_MILD, "strip it away from your face; rinse an eye with water at once and see a doctor"),
        _SUN: Said(_MILD, "gloves and long sleeves; wash sap off at once and keep that skin out of the sun"),
        _SKIN: Said(_MILD, "gloves"),
        _AWN: Said(_MILD, "sweep up; keep fallen heads and hairs from pets' mouths"),
        _FOOD: Said(_DANGEROUS, "never near a kitchen"),
        _THORN: Said(_MILD, "thick gloves; strip thorns before others take it up"),
        _ALLERGY: Said(_MILD, "gloves, and fresh air for whoever is allergic"),
        _PETS: Said(_HARMFUL, "leaves, pollen and water out of pets' reach"),
    },
    Place.BENCH: _BENCH,
    Place.HEATED_BENCH: _BENCH,
    Place.BOUQUET: {
        _POISON: Said(_HARMFUL, "tell whoever carries it; wash hands after; not for small children"),
        _EYE: Said(_MILD, "sealed or seared stems only; not near a face"),
        _SUN: Said(_MILD, "no cut end on bare skin"),
        _SKIN: Said(_MILD, "no cut end on bare skin"),
        _AWN: Said(_MILD, "not near faces, lace or dogs"),
        _FOOD: Said(_DANGEROUS, "never laid down beside food"),
        _THORN: Said(_MILD, "strip thorns or wrap the handle"),
        _ALLERGY: Said(_MILD, "ask who is allergic; take anthers out"),
        _PETS: Said(_HARMFUL, "not to a home with cats or dogs"),
    },
    Place.TABLE: {
        _POISON: Said(_HARMFUL, "out of children's reach; the vase water is poisonous"),
        _EYE: Said(_HARMFUL, "sealed or seared stems only; out of children's reach"),
        _SUN: Said(_HARMFUL, "out of reach; whoever clears up wears gloves"),
        _SKIN: Said(_HARMFUL, "whoever clears up wears gloves"),
        _AWN: Said(_MILD, "not where dogs or cats can reach it; sweep up"),
        _FOOD: Said(_HARMFUL, "guests may taste it: put a sign beside it"),
        _THORN: Said(_HARMFUL, "strip what stands out"),
        _ALLERGY: Said(_MILD, "ask who is allergic; take anthers out"),
        _PETS: Said(_HARMFUL, "not where cats or dogs can reach it"),
    },
    Place.FOOD_TABLE: {
        _POISON: Said(_MILD, "never on or beside food, plates or a cake"),
        _EYE: Said(_MILD, "never on or beside food, plates or a cake"),
        _SUN: Said(_MILD, "never on or beside food, plates or a cake"),
        _SKIN: Said(_MILD, "never on or beside food, plates or a cake"),
        _AWN: Said(_MILD, "never where awns or hairs can fall on food"),
        _FOOD: Said(_MILD, "guests may take it for garnish: keep it off this table"),
        _THORN: Said(_MILD, "nothing sharp on or beside plates"),
        _ALLERGY: Said(_MILD, "no pollen or petals on food"),
        _PETS: Said(_DANGEROUS, "nothing of it where pets are fed"),
    },
    Place.HOME: {
        _POISON: Said(_MILD, "do not eat; keep it and its vase water from children and pets"),
        _EYE: Said(_MILD, "keep sap from your eyes; rinse with water at once and see a doctor"),
        _SUN: Said(_MILD, "gloves; wash sap off and keep that skin out of the sun"),
        _SKIN: Said(_MILD, "gloves when you recut it"),
        _AWN: Said(_MILD, "keep it from pets' mouths"),
        _FOOD: Said(_HARMFUL, "do not keep it in a kitchen"),
        _THORN: Said(_MILD, "mind your hands and children's"),
        _ALLERGY: Said(_MILD, "not for whoever is allergic to it"),
        _PETS: Said(_MILD, "keep it from cats and dogs"),
    },
}
"""Every way of doing harm at every place: what is dangerous is said everywhere, lesser harm from `least` on."""
assert set(WORDS) == set(PLACE_NAMES) == set(Place), "every place has a name, and says what to do"
assert all(set(words) == set(HazardClass) for words in WORDS.values()), "every way of doing harm has words at a place"

APART = ("Narcissus",)
"""Genera whose sap shortens the life of what stands in the same water (common practice)."""
APART_WORDS = "stand it apart from other kinds for a day: its sap shortens their life"

DRY: Mapping[str, str] = {
    "the vase water is poisonous: keep it from children and pets": "keep it from children and pets",
    "keep it and its vase water from children and pets": "keep it from children and pets",
    "the vase water is poisonous": "",
    "leaves, pollen and water out of pets' reach": "out of pets' reach",
    APART_WORDS: "",
}
"""What is said of dried stems, which stand in no water, instead of a clause; nothing where it is empty."""

DANGEROUS_PETS: Mapping[Place, str] = {
    Place.BOUQUET: "not to a home with cats or dogs",
    Place.TABLE: "not in a home with cats or dogs",
    Place.HOME: "not in a home with cats or dogs",
}
"""Where it is not enough to keep pets away from what can kill them."""
