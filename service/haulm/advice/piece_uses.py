"""Which of the harm that a kind can do matters for a piece that is worn or stands on a table, and how much."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.farm.hazards import Hazard, Severity, worst_first
from haulm.farm.words import HazardClass, PlantPart, Use

_BURNS = frozenset({HazardClass.SKIN, HazardClass.SUN, HazardClass.EYE})
_TOUCHED = _BURNS | {HazardClass.THORN, HazardClass.AWN}
_ON_THE_SKIN = frozenset({PlantPart.ALL, PlantPart.SAP})


def hazards_in(use: Use, hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    """The hazards about which the grower is asked before a kind goes into pieces of this use, the worst first.

    Worn or held: what irritates or burns the skin, hurts the eyes, has thorns or awns, or is poisonous in all its parts
    or its sap. On a table, near food: all that, and whatever else is poisonous to people. What is set up out of reach
    asks nothing, and food has a rule of its own. What is mild, harm to pets and allergies ask nothing; the caution is
    told (common practice).
    """
    if use not in (Use.WORN, Use.TABLE):
        return ()
    return worst_first(hazard for hazard in hazards if _matters(use, hazard))


def is_grave(use: Use, hazards: Iterable[Hazard]) -> bool:
    """Whether a kind with these hazards stays out of pieces of this use until the grower has decided.

    Dangerous anywhere; worn, whatever harms skin or eyes, since who carries it all day did not choose it. The rest is
    ordinary in the trade (thorns that are stripped, a vase of flowers nobody eats): it comes, with its caution, and she
    may keep it out. So nothing grave gets into a bouquet unseen, and nothing ordinary goes missing (common practice).
    """
    return any(
        hazard.severity is Severity.DANGEROUS or (use is Use.WORN and hazard.hazard_class in _BURNS)
        for hazard in hazards_in(use, hazards)
    )


def _matters(use: Use, hazard: Hazard) -> bool:
    if hazard.severity is Severity.MILD:
        return False
    if hazard.hazard_class is HazardClass.POISON:
        return use is Use.TABLE or not _ON_THE_SKIN.isdisjoint(hazard.parts)
    return hazard.hazard_class in _TOUCHED
