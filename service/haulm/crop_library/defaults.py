"""Default figures where neither the farm nor the library has one: by life cycle, by habit, or for every kind.

Meant to be safe to start from and easy to see: whoever shows them says that they are defaults.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulm.crop_library.library_crop import COMMON_PRACTICE, FROM_MEMORY
from haulm.farm.stated import ColdNeed
from haulm.farm.words import Habit, LifeCycle, Role


@dataclass(frozen=True, slots=True)
class Default:
    """A default value, where it comes from, and the rule it follows in words."""

    value: object
    origin: str
    rule: str


BY_LIFE_CYCLE: Mapping[str, Mapping[LifeCycle, float]] = {
    "kill_c": {
        LifeCycle.HARDY_ANNUAL: -4.0,
        LifeCycle.HALF_HARDY_ANNUAL: -1.0,
        LifeCycle.TENDER_ANNUAL: 0.0,
        LifeCycle.BIENNIAL: -18.0,
        LifeCycle.PERENNIAL: -25.0,
        LifeCycle.BULB_TUBER: -10.0,
    },
    "soft_c": {
        LifeCycle.HARDY_ANNUAL: -5.0,
        LifeCycle.HALF_HARDY_ANNUAL: -1.5,
        LifeCycle.TENDER_ANNUAL: -0.5,
        LifeCycle.BIENNIAL: -6.0,
        LifeCycle.PERENNIAL: -6.0,
        LifeCycle.BULB_TUBER: -3.0,
    },
    "hardened_c": {
        LifeCycle.HARDY_ANNUAL: -10.0,
        LifeCycle.HALF_HARDY_ANNUAL: -3.0,
        LifeCycle.TENDER_ANNUAL: -0.5,
        LifeCycle.BIENNIAL: -15.0,
        LifeCycle.PERENNIAL: -20.0,
        LifeCycle.BULB_TUBER: -9.0,
    },
    "base_c": {
        LifeCycle.HARDY_ANNUAL: 5.0,
        LifeCycle.HALF_HARDY_ANNUAL: 8.0,
        LifeCycle.TENDER_ANNUAL: 8.0,
        LifeCycle.BIENNIAL: 5.0,
        LifeCycle.PERENNIAL: 5.0,
        LifeCycle.BULB_TUBER: 5.0,
    },
    "harden_days": {
        LifeCycle.HARDY_ANNUAL: 7,
        LifeCycle.HALF_HARDY_ANNUAL: 10,
        LifeCycle.TENDER_ANNUAL: 14,
        LifeCycle.BIENNIAL: 7,
        LifeCycle.PERENNIAL: 7,
        LifeCycle.BULB_TUBER: 0,
    },
}
"""kill_c, soft_c, hardened_c and base_c [deg C] from memory; harden_days [days] common practice.

Half-hardy -1 is a little warmer than the -2.2 C extension texts give for semi-hardy annuals. Biennial, perennial and
bulb levels are those of rosettes, crowns and bulbs in the ground, not of their flowering tops.
"""

STATED_BY_DEFAULT: Mapping[LifeCycle, tuple[str, tuple[int, int]]] = {
    LifeCycle.HARDY_ANNUAL: ("england", (5, 1)),
    LifeCycle.HALF_HARDY_ANNUAL: ("ithaca", (5, 15)),
    LifeCycle.TENDER_ANNUAL: ("ithaca", (5, 15)),
    LifeCycle.BIENNIAL: ("england", (7, 1)),
    LifeCycle.PERENNIAL: ("england", (3, 1)),
    LifeCycle.BULB_TUBER: ("ithaca", (5, 15)),
}
"""Reference climate, and month and day of the start, for which default weeks are stated (from memory)."""

COLD_BY_DEFAULT: Mapping[LifeCycle, ColdNeed] = {
    LifeCycle.BIENNIAL: ColdNeed(60.0),
    LifeCycle.PERENNIAL: ColdNeed(60.0),
}
"""What kinds that the library doesn't know need of winter (from memory); a bulb may be of summer, so it needs none."""

BY_HABIT: Mapping[str, Mapping[Habit, float]] = {
    "stand_days": {Habit.SINGLE_CUT: 5, Habit.FLUSH: 7, Habit.CUT_AND_COME_AGAIN: 7},
    "harvest_weeks": {Habit.SINGLE_CUT: 2.0, Habit.FLUSH: 4.0, Habit.CUT_AND_COME_AGAIN: 8.0},
    "stems_per_plant": {Habit.SINGLE_CUT: 1.0, Habit.FLUSH: 4.0, Habit.CUT_AND_COME_AGAIN: 10.0},
}
"""stand_days [days] and harvest_weeks [weeks] common practice; stems_per_plant [stems a place] from memory."""

FOR_EVERY_KIND: Mapping[str, Default] = {
    field: Default(value, origin, "for every kind")
    for field, value, origin in (
        ("life_cycle", LifeCycle.HARDY_ANNUAL, COMMON_PRACTICE),
        ("role", Role.FILLER, COMMON_PRACTICE),
        ("habit", Habit.FLUSH, COMMON_PRACTICE),
        ("weeks_to_flower", 12.0, COMMON_PRACTICE),
        ("germination_pct", 80.0, FROM_MEMORY),
        ("germination_days", 10.0, FROM_MEMORY),
        ("seeds_per_place", 1, COMMON_PRACTICE),
        ("weeks_to_plant_out", 6.0, FROM_MEMORY),
        ("spacing_cm", 23.0, COMMON_PRACTICE),
        ("row_cm", 23.0, COMMON_PRACTICE),
        ("hold_days", 3, COMMON_PRACTICE),
        ("dry_days", 14, COMMON_PRACTICE),
        ("dried_keep_days", None, COMMON_PRACTICE),
        ("bunch_stems", 10, COMMON_PRACTICE),
        ("food_use", False, COMMON_PRACTICE),
    )
}


def default_for(field: str, life_cycle: LifeCycle, habit: Habit) -> Default:
    """The default of a field that follows the life cycle or the habit, in the field's unit.

    Raises:
        KeyError: the field follows neither.

    Source: the tables above, each with its own.
    """
    if field in BY_LIFE_CYCLE:
        origin = COMMON_PRACTICE if field == "harden_days" else FROM_MEMORY
        return Default(BY_LIFE_CYCLE[field][life_cycle], origin, f"by life cycle, {life_cycle}")
    origin = FROM_MEMORY if field == "stems_per_plant" else COMMON_PRACTICE
    return Default(BY_HABIT[field][habit], origin, f"by habit, {habit}")
