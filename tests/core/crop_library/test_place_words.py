"""What is said of hazards where somebody acts: known plants, every dangerous one everywhere, nothing twice."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.crop_library.library import crop_for, library
from haulm.farm.batches import Batch
from haulm.farm.hazards import BY_THE_FARM, Severity, hazard_words
from haulm.farm.place_words import DRY, GENERAL, PLACE_NAMES, WORDS, Place
from haulm.farm.products import Product
from haulm.farm.varieties import Crop, Variety
from haulm.farm.warnings import (
    Warned,
    general_words,
    handling_notes,
    kinds_among,
    only_dried,
    place_of,
    warnings_at,
    weed_notes,
)
from haulm.farm.words import BatchStatus, HazardClass, Method
from support.plant_names import DANGEROUS, EATEN


def grown(name: str, key: str = "own", caution: str | None = None) -> Crop:
    return crop_for(Variety(key, name, caution=caution))


def said(place: Place, name: str, key: str = "own") -> str:
    (warned,) = warnings_at(place, [grown(name, key)])
    return f"{warned.mark} {warned.words}"


CROPS = [crop_for(Variety(f"p{at}", *plant)) for at, plant in enumerate((*DANGEROUS, *EATEN))]
CROPS += [crop_for(Variety(kind.key, kind.name)) for kind in library().values()]


@pytest.mark.parametrize(
    ("place", "name", "words"),
    [
        (Place.CUT, "Euphorbia", ("DANGER Can blind an eye (sap)", "from your eyes", "blisters skin (sap): gloves")),
        (Place.CUT, "Heracleum", ("DANGER Burns skin badly in sunlight (sap)", "gloves and long sleeves")),
        (Place.CUT, "Ammi majus", ("Burns skin in sunlight", "cut in shade")),
        (Place.WALK, "Ammi majus", ("Burns skin in sunlight", "long sleeves")),
        (Place.WALK, "Lagurus ovatus", ("Awns", "keep dogs out")),
        (Place.CUT, "Chrysanthemum", ("CARE Can set off allergies", "a mask in dust and pollen")),
        (Place.CONDITIONING, "Narcissus", ("the vase water is poisonous", "children and pets", "stand it apart")),
        (Place.CONDITIONING, "Digitalis", ("DANGER", "gloves; the vase water is poisonous", "children and pets")),
        (Place.CONDITIONING, "Aconitum", ("DANGER", "gloves; the vase water is poisonous", "Irritates skin (sap)")),
        (Place.CONDITIONING, "Lily of the valley", ("gloves; the vase water is poisonous", "Leaves easily taken")),
        (Place.CONDITIONING, "Hordeum jubatum", ("Awns", "pets' mouths", "sweep up")),
        (Place.BENCH, "Consolida", ("Dangerously poisonous", "out of children's reach", "when pricking out")),
        (Place.HOME, "Lilium regale", ("DANGER Can kill pets", "not in a home with cats or dogs")),
        (Place.BOUQUET, "Lilium regale", ("not to a home with cats or dogs",)),
        (Place.TABLE, "Lilium regale", ("take anthers out", "not in a home with cats or dogs")),
        (Place.FOOD_TABLE, "Consolida", ("never on or beside food, plates or a cake",)),
        (Place.FOOD_TABLE, "Digitalis", ("guests may take it for garnish",)),
    ],
)
def test_known_plants_in_the_words_of_a_place(place: Place, name: str, words: tuple[str, ...]) -> None:
    found = said(place, name)
    assert [one for one in words if one not in found] == [], found


def test_only_narcissus_is_stood_apart_and_only_where_it_is_conditioned() -> None:
    for place, name in product(Place, ("Narcissus", "Digitalis")):
        assert ("stand it apart" in said(place, name)) == ((place, name) == (Place.CONDITIONING, "Narcissus"))


def test_the_harm_of_a_bulb_is_said_on_the_bench_and_not_of_a_cut_stem() -> None:
    assert "Bulb easily taken for food" in said(Place.BENCH, "Tulip")
    assert all("taken for food" not in said(place, "Tulip") for place in (Place.CUT, Place.CONDITIONING, Place.TABLE))


def test_dried_stems_are_not_warned_of_vase_water() -> None:
    crop = grown("Larkspur")
    dry = only_dried([Product.parse("own:dried")])
    for place in Place:
        (wet,), (dried,) = warnings_at(place, [crop]), warnings_at(place, [crop], dry)
        assert "vase water" not in dried.words and "poisonous" in dried.words
        assert ("vase water" in wet.words) == (wet.words != dried.words)
    assert only_dried([Product.parse("own:dried"), Product.parse("own")]) == frozenset()
    clauses = {clause for ways in WORDS.values() for one in ways.values() for clause in one.clauses}
    assert [clause for clause in clauses if "vase water" in clause and clause not in DRY] == []


def test_every_place_has_a_name_and_words_for_every_way_of_doing_harm() -> None:
    assert set(PLACE_NAMES) == set(WORDS) == set(Place) >= set(GENERAL)
    for place in Place:
        assert set(WORDS[place]) == set(HazardClass)


@pytest.mark.parametrize("place", Place)
def test_whatever_is_dangerous_is_said_at_every_place(place: Place) -> None:
    for crop in CROPS:
        found = " ".join(one.words for one in warnings_at(place, [crop])).casefold()
        for hazard in crop.hazards:
            if hazard.severity is Severity.DANGEROUS and hazard.sources != (BY_THE_FARM,):
                same = [one for one in crop.hazards if one.hazard_class is hazard.hazard_class]
                assert any(hazard_words(one).casefold() in found for one in same if one.severity is Severity.DANGEROUS)
                assert WORDS[place][hazard.hazard_class].clauses[0].casefold() in found or "cats" in found


@given(st.sampled_from(Place), st.lists(st.sampled_from(CROPS), max_size=12))
def test_each_kind_is_named_once_the_worst_first_and_nothing_twice(place: Place, crops: list[Crop]) -> None:
    found = warnings_at(place, [*crops, *crops])
    assert [one.severity for one in found] == sorted((one.severity for one in found), reverse=True)
    assert len({one.sentences for one in found}) == len(found)
    for one in found:
        assert len(set(one.sentences)) == len(one.sentences) and len(set(one.kinds)) == len(one.kinds)
        clauses = [
            clause for sentence in one.sentences for clause in sentence.partition(": ")[2].rstrip(".").split("; ")
        ]
        told = [clause for clause in clauses if clause]
        assert len(set(told)) == len(told)
    assert {name for one in found for name in one.kinds} <= {crop.name for crop in crops}


@given(st.sampled_from(Place), st.text("abc ;:.", min_size=1, max_size=20).map(str.strip).filter(bool))
def test_the_farms_own_words_are_said_at_every_place(place: Place, words: str) -> None:
    (warned,) = warnings_at(place, [grown("Foxglove", caution=words)])
    assert f"{words[0].upper()}{words[1:]}" in warned.words


def test_what_the_library_says_beyond_the_register_is_not_lost() -> None:
    for place in Place:
        assert "Can carry ergot." in said(place, "Mine", "hordeum_jubatum")
        assert "Sticky stems irritate skin." in said(place, "Mine", "calendula")
    assert said(Place.CUT, "Mine", "foxglove").count("poisonous") == 1


def test_kinds_with_the_same_warning_stand_together() -> None:
    (warned,) = warnings_at(Place.CUT, [grown("Foxglove", "a"), grown("Digitalis", "b"), grown("Foxglove", "c")])
    assert warned.kinds == ("Digitalis", "Foxglove") and warned.names == "Digitalis and Foxglove"
    assert str(warned).startswith("DANGER, Digitalis and Foxglove: Dangerously poisonous (all parts): gloves")
    assert Warned(("A",), Severity.MILD, ("One.",)).mark == "MIND"


def test_hints_and_weed_notes_are_no_warnings() -> None:
    crops = [grown("Snaps", "snapdragon"), grown("Rocket", "hesperis"), grown("Sweet rocket", "hesperis")]
    assert all(warnings_at(place, crops) == () for place in Place)
    assert handling_notes(crops) == ("Snaps: carry upright: tips bend; ethylene sensitive.",)
    assert weed_notes(crops) == ("Rocket, Sweet rocket: invasive in much of North America.",)


def test_the_heated_bench_says_the_usual_caution_and_who_may_wire_it() -> None:
    (words,) = general_words(Place.HEATED_BENCH)
    for caution in ("electricity", "water", "dry", "maker", "licensed electrician"):
        assert caution in words
    assert general_words(Place.BENCH) == () and "Gloves" in general_words(Place.CONDITIONING)[0]


@pytest.mark.parametrize(
    ("method", "status", "place"),
    [
        (Method.HEATED, BatchStatus.SOWN, Place.HEATED_BENCH),
        (Method.COVER, BatchStatus.PLANNED, Place.BENCH),
        (Method.HEATED, BatchStatus.CUTTING, Place.CUT),
        (Method.ESTABLISHED, BatchStatus.PLANNED, Place.CUT),
    ],
)
def test_a_batch_is_worked_at_on_its_bench_until_it_is_planted(
    method: Method, status: BatchStatus, place: Place
) -> None:
    assert place_of(Batch("b1", "lagurus", method=method, status=status)) is place


def test_kinds_that_are_grown_no_more_are_left_out() -> None:
    crops = {"own": grown("Foxglove")}
    assert kinds_among(map(Product.parse, ("own", "gone", "own:dried")), crops) == (crops["own"],)


@pytest.mark.parametrize(("name", "botanical"), [("monkshod", None), ("Cornflower", "Aconitm napelus")])
def test_a_misspelt_name_is_treated_as_the_harmful_plant_that_it_is_spelt_like(name: str, botanical: str) -> None:
    crop = crop_for(Variety("own", name, botanical_name=botanical))
    assert crop.caution and "Aconitum" in crop.caution and "dangerously poisonous" in crop.caution
    for place in Place:
        (warned,) = warnings_at(place, [crop])
        assert warned.mark == "CARE" and "not known for certain" in warned.words and "Aconitum" in warned.words


def test_a_plant_that_nobody_knows_is_treated_as_harmful_where_someone_acts() -> None:
    for place in Place:
        assert said(place, "Zzyx") == "CARE Plant not known for certain; until it is, treat it as harmful."
    assert grown("Zzyx").caution is None and warnings_at(Place.CUT, [grown("Cosmos")]) == ()
