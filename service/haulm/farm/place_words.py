"""What to do about a hazard where somebody acts: a place, a way of doing harm, how bad it must be, and the words.

All of it is the usual care of growers and florists (common practice), no medical advice.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from haulm.farm.hazards import Severity
from haulm.farm.words import HazardClass, PlantPart
from haulm.language.words import marked


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
    Place.WALK: marked("on the walk"),
    Place.CUT: marked("cutting"),
    Place.CONDITIONING: marked("stripping and conditioning"),
    Place.BENCH: marked("on the bench"),
    Place.HEATED_BENCH: marked("on the heated bench"),
    Place.BOUQUET: marked("in a bouquet"),
    Place.TABLE: marked("on a table"),
    Place.FOOD_TABLE: marked("on a table with food"),
    Place.HOME: marked("in a home"),
}

HEATED_BENCH_CARE = marked(
    "Heated bench: electricity beside water. Switch it off at the plug before you water or reach in, "
    "never run heating or pump dry, keep to the maker's instructions; wiring is for a licensed electrician."
)
FOOD_CARE = marked("Nothing goes on a plate or a cake that the farm has not said is grown for food.")

GENERAL: Mapping[Place, tuple[str, ...]] = {
    Place.CONDITIONING: (marked("Gloves for stripping, whatever the kind."),),
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
    """From what severity on a way of doing harm is said at a place, and what to do, clause by clause."""

    least: Severity
    clauses: tuple[str, ...]


_MILD, _HARMFUL, _DANGEROUS = Severity.MILD, Severity.HARMFUL, Severity.DANGEROUS
_POISON, _EYE, _SUN = HazardClass.POISON, HazardClass.EYE, HazardClass.SUN
_SKIN, _AWN, _FOOD = HazardClass.SKIN, HazardClass.AWN, HazardClass.FOOD_CONFUSION
_THORN, _ALLERGY, _PETS = HazardClass.THORN, HazardClass.ALLERGY, HazardClass.PETS

_BENCH: Mapping[HazardClass, Said] = {
    _POISON: Said(
        _HARMFUL,
        (marked("gloves"), marked("nothing to eat on the bench"), marked("seeds and bulbs out of children's reach")),
    ),
    _EYE: Said(_MILD, (marked("gloves"), marked("hands off your face"), marked("rinse an eye with water at once"))),
    _SUN: Said(_MILD, (marked("gloves when pricking out"), marked("wash sap off at once"))),
    _SKIN: Said(_MILD, (marked("gloves when pricking out"),)),
    _AWN: Said(_HARMFUL, (marked("sweep up chaff after sowing"),)),
    _FOOD: Said(_MILD, (marked("label every tray"), marked("never beside kitchen herbs or vegetables"))),
    _THORN: Said(_HARMFUL, (marked("gloves when potting on"),)),
    _ALLERGY: Said(_HARMFUL, (marked("gloves when pricking out"),)),
    _PETS: Said(_DANGEROUS, (marked("no pets at the bench"),)),
}

WORDS: Mapping[Place, Mapping[HazardClass, Said]] = {
    Place.WALK: {
        _POISON: Said(_DANGEROUS, (marked("wash your hands if you touched it"),)),
        _EYE: Said(_HARMFUL, (marked("keep your face away"),)),
        _SUN: Said(_MILD, (marked("long sleeves and trousers, above all in sun"),)),
        _SKIN: Said(_HARMFUL, (marked("do not brush past bare-armed"),)),
        _AWN: Said(_MILD, (marked("keep dogs out"), marked("look over their paws, ears and mouths, and your socks"))),
        _FOOD: Said(_DANGEROUS, (marked("taste nothing"),)),
        _THORN: Said(_HARMFUL, (marked("gloves where you reach in"),)),
        _ALLERGY: Said(_HARMFUL, (marked("whoever is allergic keeps away in flower"),)),
        _PETS: Said(_DANGEROUS, (marked("keep dogs and cats out of the bed"),)),
    },
    Place.CUT: {
        _POISON: Said(_HARMFUL, (marked("gloves"), marked("hands off your mouth"), marked("wash them before you eat"))),
        _EYE: Said(
            _MILD,
            (marked("keep it from your eyes, glasses on"), marked("rinse an eye with water at once and see a doctor")),
        ),
        _SUN: Said(
            _MILD,
            (
                marked("gloves and long sleeves"),
                marked("cut in shade or towards evening"),
                marked("wash sap off at once"),
            ),
        ),
        _SKIN: Said(_MILD, (marked("gloves"),)),
        _AWN: Said(_MILD, (marked("cut before heads shatter"), marked("keep heads from pets' mouths"))),
        _FOOD: Said(_DANGEROUS, (marked("never in one basket with anything to eat"),)),
        _THORN: Said(_MILD, (marked("thick gloves"),)),
        _ALLERGY: Said(_MILD, (marked("gloves, and a mask in dust and pollen for whoever is allergic"),)),
        _PETS: Said(_DANGEROUS, (marked("leave no trimmings where pets can chew them"),)),
    },
    Place.CONDITIONING: {
        _POISON: Said(
            _HARMFUL, (marked("gloves"), marked("the vase water is poisonous: keep it from children and pets"))
        ),
        _EYE: Said(
            _MILD, (marked("strip it away from your face"), marked("rinse an eye with water at once and see a doctor"))
        ),
        _SUN: Said(
            _MILD, (marked("gloves and long sleeves"), marked("wash sap off at once and keep that skin out of the sun"))
        ),
        _SKIN: Said(_MILD, (marked("gloves"),)),
        _AWN: Said(_MILD, (marked("sweep up"), marked("keep fallen heads and hairs from pets' mouths"))),
        _FOOD: Said(_DANGEROUS, (marked("never near a kitchen"),)),
        _THORN: Said(_MILD, (marked("thick gloves"), marked("strip thorns before others take it up"))),
        _ALLERGY: Said(_MILD, (marked("gloves, and fresh air for whoever is allergic"),)),
        _PETS: Said(_HARMFUL, (marked("leaves, pollen and water out of pets' reach"),)),
    },
    Place.BENCH: _BENCH,
    Place.HEATED_BENCH: _BENCH,
    Place.BOUQUET: {
        _POISON: Said(
            _HARMFUL, (marked("tell whoever carries it"), marked("wash hands after"), marked("not for small children"))
        ),
        _EYE: Said(_MILD, (marked("sealed or seared stems only"), marked("not near a face"))),
        _SUN: Said(_MILD, (marked("no cut end on bare skin"),)),
        _SKIN: Said(_MILD, (marked("no cut end on bare skin"),)),
        _AWN: Said(_MILD, (marked("not near faces, lace or dogs"),)),
        _FOOD: Said(_DANGEROUS, (marked("never laid down beside food"),)),
        _THORN: Said(_MILD, (marked("strip thorns or wrap the handle"),)),
        _ALLERGY: Said(_MILD, (marked("ask who is allergic"), marked("take anthers out"))),
        _PETS: Said(_HARMFUL, (marked("not to a home with cats or dogs"),)),
    },
    Place.TABLE: {
        _POISON: Said(_HARMFUL, (marked("out of children's reach"), marked("the vase water is poisonous"))),
        _EYE: Said(_HARMFUL, (marked("sealed or seared stems only"), marked("out of children's reach"))),
        _SUN: Said(_HARMFUL, (marked("out of reach"), marked("whoever clears up wears gloves"))),
        _SKIN: Said(_HARMFUL, (marked("whoever clears up wears gloves"),)),
        _AWN: Said(_MILD, (marked("not where dogs or cats can reach it"), marked("sweep up"))),
        _FOOD: Said(_HARMFUL, (marked("guests may taste it: put a sign beside it"),)),
        _THORN: Said(_HARMFUL, (marked("strip what stands out"),)),
        _ALLERGY: Said(_MILD, (marked("ask who is allergic"), marked("take anthers out"))),
        _PETS: Said(_HARMFUL, (marked("not where cats or dogs can reach it"),)),
    },
    Place.FOOD_TABLE: {
        _POISON: Said(_MILD, (marked("never on or beside food, plates or a cake"),)),
        _EYE: Said(_MILD, (marked("never on or beside food, plates or a cake"),)),
        _SUN: Said(_MILD, (marked("never on or beside food, plates or a cake"),)),
        _SKIN: Said(_MILD, (marked("never on or beside food, plates or a cake"),)),
        _AWN: Said(_MILD, (marked("never where awns or hairs can fall on food"),)),
        _FOOD: Said(_MILD, (marked("guests may take it for garnish: keep it off this table"),)),
        _THORN: Said(_MILD, (marked("nothing sharp on or beside plates"),)),
        _ALLERGY: Said(_MILD, (marked("no pollen or petals on food"),)),
        _PETS: Said(_DANGEROUS, (marked("nothing of it where pets are fed"),)),
    },
    Place.HOME: {
        _POISON: Said(_MILD, (marked("do not eat"), marked("keep it and its vase water from children and pets"))),
        _EYE: Said(_MILD, (marked("keep sap from your eyes"), marked("rinse with water at once and see a doctor"))),
        _SUN: Said(_MILD, (marked("gloves"), marked("wash sap off and keep that skin out of the sun"))),
        _SKIN: Said(_MILD, (marked("gloves when you recut it"),)),
        _AWN: Said(_MILD, (marked("keep it from pets' mouths"),)),
        _FOOD: Said(_HARMFUL, (marked("do not keep it in a kitchen"),)),
        _THORN: Said(_MILD, (marked("mind your hands and children's"),)),
        _ALLERGY: Said(_MILD, (marked("not for whoever is allergic to it"),)),
        _PETS: Said(_MILD, (marked("keep it from cats and dogs"),)),
    },
}
"""Every way of doing harm at every place: what is dangerous is said everywhere, lesser harm from `least` on."""
assert set(WORDS) == set(PLACE_NAMES) == set(Place), "every place has a name, and says what to do"
assert all(set(words) == set(HazardClass) for words in WORDS.values()), "every way of doing harm has words at a place"

APART = ("Narcissus",)
"""Genera whose sap shortens the life of what stands in the same water (common practice)."""
APART_WORDS = marked("stand it apart from other kinds for a day: its sap shortens their life")

DRY: Mapping[str, str] = {
    "the vase water is poisonous: keep it from children and pets": marked("keep it from children and pets"),
    "keep it and its vase water from children and pets": marked("keep it from children and pets"),
    "the vase water is poisonous": "",
    "leaves, pollen and water out of pets' reach": marked("out of pets' reach"),
    APART_WORDS: "",
}
"""What is said of dried stems, which stand in no water, instead of a clause; nothing where it is empty."""

DANGEROUS_PETS: Mapping[Place, str] = {
    Place.BOUQUET: marked("not to a home with cats or dogs"),
    Place.TABLE: marked("not in a home with cats or dogs"),
    Place.HOME: marked("not in a home with cats or dogs"),
}
"""Where it is not enough to keep pets away from what can kill them."""
