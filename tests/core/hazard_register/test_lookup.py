"""What a name means: cultivars, capitals and word order aside, and nothing dangerous cleared by a second name."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.hazards import NEVER_FOOD, Hazard
from haulm.hazard_register.lookup import Ambiguous, Known, LookedUp, Unknown, looked_up
from haulm.hazard_register.spelling import words_of
from haulm.hazard_register.tables import register

NAMES = st.sampled_from(sorted({*register().names, *register().hazards}))
CULTIVARS = st.sampled_from(["'Black Knight'", '"Rose Queen"', "‘Blue Lily’", "„Poppy“", "“Foxglove”", "«Muguet»"])  # noqa: RUF001


def told(found: LookedUp) -> tuple[object, ...]:
    """An answer without what it suggests."""
    genera = () if isinstance(found, Unknown) else tuple(sorted(found.genera))
    return type(found), genera, found.hazards


@pytest.mark.parametrize(
    ("name", "genus"),
    [
        ("Monkshood", "Aconitum"),
        ("MONK'S-HOOD", "Aconitum"),
        ("blue monks hood", "Aconitum"),
        ("aconitum", "Aconitum"),
        ("'Monkshood'", "Aconitum"),
        ("Delphinium 'Black Knight'", "Delphinium"),
        ('"Rose Queen" delphinium', "Delphinium"),
        ("Delphinium 'Black Knight", "Delphinium"),
        ("Delphiniums", "Delphinium"),
        ("white lily of the valley", "Convallaria"),
        ("valley, lily of the", "Convallaria"),
        ("Maiglöckchen", "Convallaria"),
        ("MAIGLOECKCHEN", "Convallaria"),
        ("Maiglockchen", "Convallaria"),
        ("Foxgloves 'Alba'", "Digitalis"),
        ("Pink foxglove", "Digitalis"),
        ("Rose zinnia", "Zinnia"),
        ("Rose", "Rosa"),
    ],
)
def test_a_name_is_known_however_it_is_written(name: str, genus: str) -> None:
    found = looked_up(None, name)
    assert isinstance(found, Known) and found.genera == (genus,)


@pytest.mark.parametrize(("name", "some"), [("Lily", {"Lilium", "Convallaria"}), ("bluebells", {"Hyacinthoides"})])
def test_a_name_of_several_plants_names_them_and_has_the_worst_of_all(name: str, some: set[str]) -> None:
    found = looked_up(None, name)
    assert isinstance(found, Ambiguous) and some <= set(found.genera) and len(found.genera) > 1
    for genus in found.genera:
        assert set(looked_up(genus, "").hazards) <= set(found.hazards)


def test_a_botanical_name_says_which_of_several_plants_is_meant() -> None:
    found = looked_up("Hemerocallis", "Lily")
    assert isinstance(found, Known) and found.genera == ("Hemerocallis",)
    assert found.hazards == looked_up("Hemerocallis", "").hazards
    assert isinstance(looked_up("Calendula", "Lily"), Ambiguous)


def test_a_wrong_botanical_name_clears_no_dangerous_common_one() -> None:
    found = looked_up("Calendula officinalis", "Monkshood")
    assert isinstance(found, Known) and found.genera == ("Calendula", "Aconitum")
    assert set(looked_up(None, "Monkshood").hazards) <= set(found.hazards)


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("monkshod", "Aconitum"),
        ("delfinium", "Delphinium"),
        ("Convalaria majalis", "Convallaria"),
        ("Narcisus", "Narcissus"),
    ],
)
def test_a_near_miss_is_suggested_and_never_cleared(name: str, meant: str) -> None:
    found = looked_up(None, name)
    assert isinstance(found, Unknown) and any(meant in one.genera for one in found.suggestions)


def test_a_plant_that_nobody_knows_is_unknown_and_so_is_one_without_words() -> None:
    assert looked_up(None, "Zzyx") == Unknown(())
    assert looked_up(None, "") == looked_up("", "99", "x") == Unknown(())


def test_a_botanical_name_that_nobody_knows_keeps_the_harm_of_the_other_name() -> None:
    found = looked_up("Zzyxia alba", "Monkshood")
    assert isinstance(found, Unknown) and found.hazards == looked_up(None, "Monkshood").hazards


TOLD_APART = [
    (genus, hazard)
    for genus, hazards in register().hazards.items()
    for hazard in hazards
    if hazard.species and len(genus) > 3
]


@pytest.mark.parametrize(("genus", "hazard"), TOLD_APART[:: max(1, len(TOLD_APART) // 20)])
def test_the_harm_of_some_species_is_theirs_and_a_strange_epithet_may_be_any(genus: str, hazard: Hazard) -> None:
    for species in hazard.species:
        assert hazard in looked_up(f"{genus} {species}", "").hazards
    for other in register().epithets[genus] - set(hazard.species):
        assert hazard not in looked_up(f"{genus} {other}", "").hazards
    assert hazard in looked_up(genus, "").hazards
    assert hazard in looked_up(f"{genus} zzyxia", "").hazards


def test_a_flower_that_is_eaten_is_told_and_whether_its_species_is_named() -> None:
    cornflower, whole = looked_up("Centaurea cyanus", ""), looked_up("Centaurea", "")
    assert isinstance(cornflower, Known) and cornflower.is_edible and cornflower.is_species_named
    assert isinstance(whole, Known) and not whole.is_species_named
    monkshood = looked_up("Aconitum napellus", "")
    assert isinstance(monkshood, Known) and not monkshood.is_edible


def test_the_longest_name_within_a_name_is_meant() -> None:
    found = looked_up(None, "Christmas rose")
    assert isinstance(found, Known) and found.genera == ("Helleborus",)
    both = looked_up(None, "Delphinium with Euphorbia")
    assert isinstance(both, Known) and set(both.genera) == {"Delphinium", "Euphorbia"}


@given(NAMES, st.randoms(use_true_random=False), st.sampled_from([str.upper, str.lower, str.title]))
def test_capitals_and_word_order_never_change_the_answer(name: str, chance: random.Random, cased: object) -> None:
    words = name.split()
    chance.shuffle(words)
    assert callable(cased)
    assert told(looked_up(None, cased(" ".join(words)))) == told(looked_up(None, name))


@given(NAMES, CULTIVARS, st.booleans())
def test_a_cultivar_in_quotes_never_changes_the_answer(name: str, cultivar: str, is_first: bool) -> None:
    written = f"{cultivar} {name}" if is_first else f"{name} {cultivar}"
    assert told(looked_up(None, written)) == told(looked_up(None, name))
    assert told(looked_up(None, f'"{name}"')) == told(looked_up(None, name))


@given(NAMES, st.none() | NAMES | st.text(max_size=12), st.text(max_size=12) | NAMES)
def test_a_second_name_removes_no_hazard_but_of_a_plant_it_says_is_not_meant(
    name: str, botanical_name: str | None, other: str
) -> None:
    alone, both = looked_up(None, name), looked_up(botanical_name, name, other)
    lost = set(alone.hazards) - set(both.hazards)
    assert not lost or isinstance(alone, Ambiguous)
    assert {hazard.genus for hazard in lost}.isdisjoint(() if isinstance(both, Unknown) else both.genera)


@given(st.text(max_size=60), st.none() | st.text(max_size=60))
def test_any_text_has_an_answer(name: str, botanical_name: str | None) -> None:
    found = looked_up(botanical_name, name)
    assert not isinstance(found, Ambiguous) or len(found.genera) > 1
    assert found.hazards == tuple(sorted(found.hazards, key=lambda one: -one.severity))


def test_every_name_of_the_register_has_all_the_harm_of_what_it_means() -> None:
    for name, plants in register().names.items():
        found = looked_up(None, name)
        assert not isinstance(found, Unknown), name
        assert {plant.genus for plant in plants} <= set(found.genera), name
        assert {one for plant in plants for one in barred(plant.genus, plant.species)} <= set(found.hazards), name


def barred(genus: str, species: frozenset[str]) -> set[Hazard]:
    """The hazards of a genus that keep it from food, by the table alone."""
    return {
        hazard
        for hazard in register().hazards[genus]
        if hazard.hazard_class in NEVER_FOOD and (not species or not hazard.species or species & set(hazard.species))
    }


def test_every_genus_is_found_by_its_name_and_each_name_has_words() -> None:
    for genus in register().hazards:
        found = looked_up(genus, "")
        assert isinstance(found, Known) and found.genera == (genus,)
        assert words_of(genus)
