"""How a farm's variety meets the library: the farm's own figure, else the library's, else a default."""

import re
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.crop_library.library import crop_for, explain, food_conflict, library, library_crop_for, question_about
from haulm.crop_library.plants import NOT_FOOD
from haulm.farm.hazards import classes_said
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import Habit, HazardClass, LifeCycle, PlantPart, Role

OWN_FIGURES: dict[str, st.SearchStrategy[Any]] = {
    "life_cycle": st.sampled_from(LifeCycle),
    "role": st.sampled_from(Role),
    "habit": st.sampled_from(Habit),
    "colour": st.sampled_from(["white", "blue"]),
    "weeks_to_flower": st.floats(4, 60),
    "harvest_weeks": st.floats(1, 20),
    "stems_per_plant": st.floats(0, 50),
    "germination_pct": st.floats(0, 100),
    "germination_days": st.floats(1, 60),
    "seeds_per_place": st.integers(1, 20),
    "weeks_to_plant_out": st.floats(0, 20),
    "harden_days": st.integers(0, 30),
    "kill_c": st.floats(-30, 5),
    "spacing_cm": st.floats(1, 100),
    "row_cm": st.floats(1, 100),
    "hold_days": st.integers(0, 40),
    "stand_days": st.integers(0, 40),
    "dry_days": st.integers(0, 40),
    "dried_keep_days": st.integers(0, 400),
    "bunch_stems": st.integers(1, 50),
    "price_minor": st.integers(0, 9999),
    "dried_price_minor": st.integers(0, 9999),
    "food_use": st.booleans(),
}
KEYS = st.sampled_from([*library(), "nothing-we-know"])


@st.composite
def varieties(draw: st.DrawFn) -> Variety:
    figures: dict[str, Any] = {name: draw(st.none() | values) for name, values in OWN_FIGURES.items()}
    return Variety(draw(KEYS), "Mine", caution=draw(st.none() | st.text(max_size=20)), **figures)


@given(varieties())
def test_every_figure_the_farm_gives_wins(variety: Variety) -> None:
    crop = crop_for(variety)
    for name in OWN_FIGURES.keys() - {"germination_pct", "food_use"}:
        if getattr(variety, name) is not None:
            assert (getattr(crop, name), crop.origin[name]) == (getattr(variety, name), "farm")
    if variety.germination_pct is not None:
        assert crop.germination_share == pytest.approx(variety.germination_pct / 100)
        assert crop.origin["germination_share"] == "farm"
    if variety.food_use is not None:
        is_barred = food_conflict(variety) is not None
        assert crop.food_use == (variety.food_use and not is_barred)
        assert crop.origin["food_use"] == ("hazard register" if is_barred else "farm")


@given(varieties())
def test_every_crop_is_complete_and_every_value_names_its_origin(variety: Variety) -> None:
    crop = crop_for(variety)
    may_be_none = {"colour", "counted_from", "dried_keep_days", "price_minor", "dried_price_minor", "caution"}
    may_be_none |= {"botanical_name", "weed_note", "handling", "stated_for", "cold", "heat_end_c"}
    may_be_none |= {"library_kind", "stems_range"}
    are_names = {"key", "origin", "counted_from", "own_words", "kind", "kind_name", "library_kind", "costs"}
    are_names |= {"stems_range"}  # of the library, whose own columns name their sources
    for field in fields(Crop):
        value = getattr(crop, field.name)
        assert value is not None or field.name in may_be_none
        if field.name not in are_names and value not in (None, ()):
            assert crop.origin[field.name]
    assert crop.costs.origin


@pytest.mark.parametrize("key", library())
def test_a_variety_of_which_the_farm_says_nothing_is_its_kind(key: str) -> None:
    kind, crop = library()[key], crop_for(Variety(key, "Mine"))
    assert crop.germination_share == pytest.approx(kind.germination_pct / 100)
    same = {field.name for field in fields(Crop)} & set(kind.sources) - {"name"}
    assert len(same) >= 18
    for name in same:
        found, origin = getattr(crop, name), kind.sources[name].origin
        if name == "caution":
            assert found.endswith(kind.caution) and crop.origin[name] in (origin, f"{origin}; hazard register")
        else:
            assert (found, crop.origin[name]) == (getattr(kind, name), origin)


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        ("lagurus", "lagurus"),
        ("lagurus-white", "lagurus"),
        ("ammi_majus.early-2", "ammi_majus"),
        ("sweet_pea_blue", "sweet_pea"),
        ("laguruswhite", None),
        ("Lagurus", None),
        ("ammi", None),
        ("my-lagurus", None),
    ],
)
def test_a_key_belongs_to_the_kind_it_begins_with(key: str, kind: str | None) -> None:
    found = library_crop_for(Variety(key, "Mine"))
    assert (found and found.key) == kind


@given(KEYS, st.sampled_from("-_."), st.text("abc12-_.", max_size=8))
def test_a_longer_key_never_finds_a_shorter_kind_than_it_could(key: str, joint: str, rest: str) -> None:
    found = library_crop_for(Variety(key + joint + rest, "Mine"))
    assert (found and found.key) == (key if key in library() else None)


def test_the_key_goes_before_the_botanical_name_and_that_before_nothing() -> None:
    by_key = library_crop_for(Variety("zinnia-red", "Mine", botanical_name="Lagurus ovatus"))
    by_name = library_crop_for(Variety("tails", "Mine", botanical_name="LAGURUS  ovatus"))
    by_synonym = library_crop_for(Variety("pompon", "Mine", botanical_name="dahlia \N{MULTIPLICATION SIGN} hybrida"))
    assert [found and found.key for found in (by_key, by_name, by_synonym)] == ["zinnia", "lagurus", "dahlia"]
    assert library_crop_for(Variety("pompon", "Mine", botanical_name="")) is None


def test_an_unknown_kind_is_a_hardy_annual_filler_in_one_flush_after_twelve_weeks() -> None:
    crop = crop_for(Variety("nothing-we-know", "Mine"))
    assert (crop.life_cycle, crop.role, crop.habit) == (LifeCycle.HARDY_ANNUAL, Role.FILLER, Habit.FLUSH)
    assert (crop.weeks_to_flower, crop.kill_c, crop.stand_days, crop.bunch_stems) == (12, -4, 7, 10)
    assert not crop.food_use and crop.caution is None and crop.dried_keep_days is None


def test_the_killing_frost_follows_a_life_cycle_that_the_farm_changes() -> None:
    assert crop_for(Variety("zinnia", "Mine", life_cycle=LifeCycle.HARDY_ANNUAL)).kill_c == -4
    assert crop_for(Variety("zinnia", "Mine", life_cycle=LifeCycle.HARDY_ANNUAL, kill_c=-2.0)).kill_c == -2
    assert crop_for(Variety("mystery", "Mine", life_cycle=LifeCycle.TENDER_ANNUAL)).kill_c == 0


def test_a_life_cycle_that_only_repeats_the_library_changes_nothing() -> None:
    told = crop_for(Variety("dahlia", "Mine", life_cycle=LifeCycle.BULB_TUBER))
    assert told.kill_c == library()["dahlia"].kill_c == 0


def test_standing_cutting_and_stems_follow_a_habit_that_the_farm_changes() -> None:
    crop = crop_for(Variety("sunflower_single", "Mine", habit=Habit.CUT_AND_COME_AGAIN))
    assert (crop.stand_days, crop.harvest_weeks, crop.stems_per_plant) == (7, 8, 10)
    assert crop.weeks_to_flower == library()["sunflower_single"].weeks_to_flower


@given(varieties())
def test_no_caution_is_ever_lost(variety: Variety) -> None:
    kind, caution = library_crop_for(variety), crop_for(variety).caution or ""
    assert (variety.caution or "") in caution
    assert ((kind and kind.caution) or "") in caution


def test_cautions_of_register_library_and_farm_are_joined_once() -> None:
    once = crop_for(Variety("calendula", "Mine", caution="stains"))
    assert once.caution is not None and once.caution.endswith("sticky stems irritate skin; wear gloves; stains")
    assert once.origin["caution"].startswith("S15; farm")
    assert crop_for(Variety("calendula", "Mine", caution=once.caution)).caution == once.caution


def test_a_caution_says_first_what_the_register_knows_beyond_it() -> None:
    plain = crop_for(Variety("blue", "Monkshood"))
    assert plain.caution is not None and plain.caution.startswith("dangerously poisonous")
    assert plain.origin["caution"] == plain.origin["hazards"] == "hazard register"
    told = crop_for(Variety("blue", "Monkshood", caution="poisonous, a little"))
    assert told.caution is not None and told.caution.startswith("dangerously poisonous")
    assert told.caution.endswith("poisonous, a little")


def test_what_the_farms_own_caution_says_is_a_hazard_beside_the_registers() -> None:
    crop = crop_for(Variety("zzyx", "Zzyx", caution="all parts poisonous; sap burns skin"))
    (poison, skin) = crop.hazards
    assert (poison.hazard_class, skin.hazard_class) == (HazardClass.POISON, HazardClass.SKIN)
    assert poison.sources == ("farm",) and PlantPart.ALL in poison.parts and crop.origin["hazards"] == "farm"
    both = crop_for(Variety("blue", "Monkshood", caution="awns"))
    assert both.origin["hazards"] == "hazard register; farm"
    assert {HazardClass.POISON, HazardClass.AWN} <= {hazard.hazard_class for hazard in both.hazards}


def test_weed_and_handling_notes_of_the_library_stand_apart_from_cautions() -> None:
    weed, tips = crop_for(Variety("hesperis", "Mine")), crop_for(Variety("snapdragon", "Mine"))
    assert weed.weed_note == "invasive in much of North America" and weed.caution is None
    assert tips.handling == "carry upright: tips bend; ethylene sensitive" and tips.caution is None
    hare = crop_for(Variety("lagurus", "Mine"))
    assert hare.weed_note and hare.caution and "self-seeds" not in hare.caution and "awns" in hare.caution
    for kind in library().values():
        assert not classes_said(f"{kind.weed_note or ''} {kind.handling or ''}")
        assert not re.search(r"seeds itself|self-seed|invasive|weed|tips bend|ethylene", kind.caution or "")


def test_the_botanical_name_is_the_farms_own_else_the_librarys() -> None:
    assert crop_for(Variety("lagurus", "Mine")).botanical_name == "Lagurus ovatus"
    assert crop_for(Variety("lagurus", "Mine", botanical_name="Lagurus nanus")).botanical_name == "Lagurus nanus"
    assert crop_for(Variety("zzyx", "Zzyx")).botanical_name is None


@pytest.mark.parametrize("key", ["foxglove", "hordeum_jubatum", "ammi_majus", "triticum_bearded", "tulip"])
def test_a_poisonous_irritant_or_awned_kind_is_never_food(key: str) -> None:
    conflict = food_conflict(Variety(key, "Mine", food_use=True))
    assert conflict is not None and "'Mine'" in conflict.why
    assert not crop_for(Variety(key, "Mine", food_use=True)).food_use
    assert food_conflict(Variety(key, "Mine", food_use=False)) is None
    assert food_conflict(Variety(key, "Mine")) is None


def test_a_kind_without_such_a_hazard_may_be_food_until_the_farm_writes_one() -> None:
    for key in ("cornflower", "calendula", "sunflower_single"):
        assert food_conflict(Variety(key, "Mine", food_use=True)) is None
        assert crop_for(Variety(key, "Mine", food_use=True)).food_use
        for caution in ("Irritant to some", "Do not eat", "lethal to cats", "not edible", "inedible", "don't eat"):
            told = Variety(key, "Mine", food_use=True, caution=caution)
            conflict = food_conflict(told)
            assert conflict is not None and f"'{caution}'" in conflict.why and not crop_for(told).food_use


def test_a_refusal_names_the_plant_the_class_and_the_source() -> None:
    conflict = food_conflict(Variety("tall", "Delphinium 'Black Knight'", food_use=True))
    assert conflict is not None and conflict.accepted == "no"
    for words in ("'Delphinium 'Black Knight'' is Delphinium", "poisonous", "source: "):
        assert words in conflict.why


@pytest.mark.parametrize(
    ("variety", "why", "accepted"),
    [
        (Variety("m", "Monkshod"), "nobody here knows what 'Monkshod' is; the nearest", "that is known"),
        (Variety("m", "Zzyx"), "nobody here knows what 'Zzyx' is", "that is known"),
        (Variety("m", "Cornflower", botanical_name="Aconitm"), "knows what 'Aconitm' is; the nearest", "that is known"),
        (Variety("l", "Lily"), "'Lily' may be ", "that says which it is"),
    ],
)
def test_what_nobody_can_tell_is_not_food_until_the_farm_says_what_it_is(
    variety: Variety, why: str, accepted: str
) -> None:
    conflict = food_conflict(replace(variety, food_use=True))
    assert conflict is not None and why in conflict.why and conflict.accepted.endswith(accepted)


def test_a_plant_that_may_be_taken_for_food_is_none_until_its_species_is_named() -> None:
    conflict = food_conflict(Variety("o", "Orlaya", food_use=True))
    assert conflict is not None and "'Orlaya' is Orlaya: easily taken for food" in conflict.why
    assert conflict.accepted == "no, or a botanical name with its species"
    assert food_conflict(Variety("o", "Orlaya", botanical_name="Orlaya grandiflora", food_use=True)) is None


def test_a_plant_that_nobody_knew_may_be_food_once_its_botanical_name_is_known() -> None:
    assert food_conflict(Variety("jj", "Johnny jumps", food_use=True))
    assert food_conflict(Variety("jj", "Johnny jumps", botanical_name="Viola tricolor", food_use=True)) is None
    assert food_conflict(Variety("jj", "Johnny jumps", botanical_name="Cyanus segetum", food_use=True)) is None


def test_a_name_of_several_plants_is_asked_about_and_so_is_a_near_miss() -> None:
    lily = question_about(Variety("l", "White lily"))
    assert lily is not None and "Lilium" in lily and "Hemerocallis" in lily and "worst of them holds" in lily
    assert question_about(Variety("l", "White lily", botanical_name="Lilium regale")) is None
    near = question_about(Variety("m", "Monkshod"))
    assert near is not None and "monkshood (Aconitum)" in near
    assert question_about(Variety("cornflower", "Cornflower")) is None


def test_words_near_a_hazard_are_not_one() -> None:
    for caution in ("self-seeds", "stand under an awning", "pollen stains", "ethylene sensitive", "carry upright"):
        assert NOT_FOOD.search(caution) is None


def test_nothing_in_the_library_is_for_food() -> None:
    assert not any(kind.food_use for kind in library().values())


@given(varieties())
def test_an_explanation_tells_every_value_of_the_crop_with_its_origin(variety: Variety) -> None:
    crop, told = crop_for(variety), {line.field: line for line in explain(variety)}
    shares = {"germination_share": "germination_pct"}
    assert {shares.get(name, name): origin for name, origin in crop.origin.items()} == {
        name: line.origin for name, line in told.items()
    }
    assert all(line.citation for line in told.values())


def test_an_explanation_cites_the_source_the_memory_and_the_farm() -> None:
    told = {line.field: line for line in explain(Variety("zinnia", "Mine", hold_days=3))}
    assert told["hold_days"] == ("hold_days", "3", "farm", "the farm's own")
    assert told["spacing_cm"].citation.startswith("S11: Sloan and Harkness (2008)")
    assert told["weeks_to_flower"].origin == "from memory"
    assert "12 (S211)" in told["weeks_to_flower"].citation
    assert told["dry_days"].citation == "default for every kind"
