"""Hazards in words: the worst first, each way of doing harm once, and nothing said twice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.hazards import Hazard, Severity, caution_beyond, caution_with, classes_said, hazard_words, worst_first
from haulm.farm.words import HazardClass, PlantPart

HAZARDS = st.builds(
    Hazard,
    st.sampled_from(["Aconitum", "Viola"]),
    st.just(()),
    st.sampled_from(HazardClass),
    st.sampled_from(Severity),
    st.lists(st.sampled_from(PlantPart), max_size=2, unique=True).map(tuple),
    st.just(""),
    st.just(("from_memory",)),
)
OWN = st.sampled_from(["", "self-seeds", "sap irritates", "toxic to pets", "all parts poisonous", "spiny: wear gloves"])


def hazard(way: HazardClass, severity: Severity = Severity.HARMFUL, *parts: PlantPart) -> Hazard:
    return Hazard("Aconitum", (), way, severity, parts, "", ("from_memory",))


def test_a_hazard_is_a_few_words_with_its_parts() -> None:
    poison = hazard(HazardClass.POISON, Severity.DANGEROUS, PlantPart.SEED, PlantPart.ALL)
    assert hazard_words(poison) == "dangerously poisonous (all parts)"
    assert hazard_words(hazard(HazardClass.AWN, Severity.MILD, PlantPart.AWN)).endswith("paws")
    assert hazard_words(hazard(HazardClass.SKIN, Severity.MILD, PlantPart.SAP)) == "may irritate skin (sap)"
    assert hazard_words(hazard(HazardClass.THORN)) == "thorns or spines"


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ((PlantPart.BULB,), "bulb easily taken for food"),
        ((PlantPart.ROOT, PlantPart.LEAF), "roots and leaves easily taken for food"),
        ((PlantPart.ALL, PlantPart.LEAF), "easily taken for food (all parts)"),
        ((), "easily taken for food"),
    ],
)
def test_what_is_taken_for_food_is_named_by_its_part(parts: tuple[PlantPart, ...], words: str) -> None:
    assert hazard_words(hazard(HazardClass.FOOD_CONFUSION, Severity.HARMFUL, *parts)) == words


def test_a_caution_beyond_hazards_is_the_clauses_that_they_do_not_say() -> None:
    awn = hazard(HazardClass.AWN)
    caution = "awns injure mouths and eyes of animals; can carry ergot; keep dry"
    assert caution_beyond([awn], caution) == ("can carry ergot", "keep dry")
    assert caution_beyond([], "sap irritates;; ") == ("sap irritates",)
    assert caution_beyond([hazard(HazardClass.SUN)], "sap blisters skin in sun") == ()


def test_a_caution_says_the_worst_first_and_its_own_words_last() -> None:
    found = [
        hazard(HazardClass.PETS, Severity.DANGEROUS),
        hazard(HazardClass.SKIN, Severity.MILD),
        hazard(HazardClass.POISON, Severity.DANGEROUS, PlantPart.ALL),
    ]
    assert caution_with(found, "tips bend") == (
        "dangerously poisonous (all parts); can kill pets; may irritate skin; tips bend"
    )


@pytest.mark.parametrize(
    ("caution", "said"),
    [
        ("mildly toxic to pets", {HazardClass.PETS}),
        ("seeds toxic if eaten", {HazardClass.POISON}),
        ("sap burns skin in sunlight", {HazardClass.SUN, HazardClass.SKIN}),
        ("stand under an awning; self-seeds; tips bend", set()),
        ("barbed awns", {HazardClass.AWN}),
    ],
)
def test_a_caution_speaks_of_the_ways_it_names(caution: str, said: set[HazardClass]) -> None:
    assert classes_said(caution) == said


@given(st.lists(HAZARDS), OWN)
def test_a_caution_keeps_its_own_words_and_says_every_way(hazards: list[Hazard], own: str) -> None:
    said = caution_with(hazards, own)
    assert said.endswith(own)
    assert {one.hazard_class for one in hazards} <= classes_said(said)
    assert caution_with(hazards, said) == said


@given(st.lists(HAZARDS))
def test_the_worst_comes_first_whatever_the_order(hazards: list[Hazard]) -> None:
    found = worst_first(hazards)
    assert set(found) == set(hazards) and len(found) == len(set(hazards))
    assert [one.severity for one in found] == sorted((one.severity for one in found), reverse=True)
    assert [one.hazard_class for one in worst_first(reversed(hazards))] == [one.hazard_class for one in found]
