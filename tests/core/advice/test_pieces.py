"""From pieces to stems: recipes, names, wishes, spare; published guides and a worked example."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.piece_names import named_piece
from haulm.advice.piece_uses import hazards_in, is_grave
from haulm.advice.pieces import MOST_PIECES, PieceAsked, RoleAsked, piece_needs, spare_for, stems_by_role, with_wishes
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import NotAccepted
from haulm.farm.hazards import Hazard, Severity
from haulm.farm.orders import Recipe
from haulm.farm.piece_decisions import use_of
from haulm.farm.words import HazardClass, PlantPart, Role, Use

RECIPES = {
    "bouquet": (Recipe("bouquet", Role.FOCAL, 5), Recipe("bouquet", Role.FILLER, 12)),
    "jar": (Recipe("jar", Role.FILLER, 3),),
}
STARTING = by_piece(starting_recipes())
PUBLISHED = {
    "bridal bouquet": (20, 50),
    "attendant bouquet": (12, 30),
    "filler bouquet": (5, 7),
    "buttonhole": (1, 5),
    "corsage": (3, 5),
    "flower crown": (10, 30),
    "small jar": (10, 12),
    "table jar": (20, 30),
    "low centre": (15, 25),
    "large centre": (50, 100),
    "aisle end": (5, 10),
    "arch": (150, 500),
    "loose bucket": (25, 80),
}
"""Least and most stems. Sources: Byczynski and Benzakein, Fresh from the Field Wedding Flowers, as quoted by a flower
farm; a UK wholesaler's and a wedding florist's stem-count guides; buckets by growers (common practice)."""


def test_stems_of_one_role_and_colour_are_added_up_over_pieces_of_one_use() -> None:
    needs = piece_needs([PieceAsked("bouquet", 2, ("white",)), PieceAsked("bouquet", 4, ("white",))], RECIPES, {})
    assert stems_by_role(needs) == (
        RoleAsked(Role.FOCAL, ("white",), 30, ("bouquet",), (Use.WORN,)),
        RoleAsked(Role.FILLER, ("white",), 72, ("bouquet",), (Use.WORN,)),
    )


def test_what_is_worn_is_asked_apart_from_what_stands_on_a_table() -> None:
    found = stems_by_role(piece_needs([PieceAsked("bouquet", 1), PieceAsked("jar", 1)], RECIPES, {}))
    assert [(ask.role, ask.stems, ask.uses) for ask in found] == [
        (Role.FOCAL, 5, (Use.WORN,)),
        (Role.FILLER, 12, (Use.WORN,)),
        (Role.FILLER, 3, (Use.TABLE,)),
    ]


@pytest.mark.parametrize(
    ("piece", "where"),
    [(PieceAsked("jar", 0), "count"), (PieceAsked("jar", MOST_PIECES + 1), "count"), (PieceAsked("swan", 1), "piece")],
)
def test_a_piece_without_a_recipe_or_a_count_is_refused_by_its_place(piece: PieceAsked, where: str) -> None:
    with pytest.raises(NotAccepted) as refused:
        piece_needs([PieceAsked("jar", 1), piece], RECIPES, {})
    assert refused.value.where == f"pieces[1].{where}"


@pytest.mark.parametrize(("written", "nearest"), [("bouqet", "; the nearest is bouquet"), ("swan", "")])
def test_a_name_that_is_refused_has_the_nearest_one_beside_it(written: str, nearest: str) -> None:
    with pytest.raises(NotAccepted) as refused:
        piece_needs([PieceAsked(written, 1)], RECIPES, {})
    assert refused.value.accepted == f"one of {', '.join(sorted(RECIPES))}{nearest}"


@pytest.mark.parametrize("piece", PUBLISHED)
def test_starting_recipes_lie_within_published_guides(piece: str) -> None:
    least, most = PUBLISHED[piece]
    assert least <= sum(row.stems for row in STARTING[piece]) <= most


def test_every_starting_recipe_is_checked_against_a_guide() -> None:
    assert PUBLISHED.keys() == STARTING.keys()


def test_the_worked_example_of_869_stems_and_a_thousand_with_spare() -> None:
    counts = {"bridal bouquet": 1, "bouquet": 4, "buttonholes": 8, "corsages": 2, "large jars": 10, "small jars": 20}
    needs = piece_needs([PieceAsked(piece, n) for piece, n in {**counts, "arch": 1}.items()], {}, STARTING)

    assert [need.stems for need in needs] == [35, 60, 24, 10, 250, 240, 250]
    stems = sum(need.stems for need in needs)
    assert (stems, stems + spare_for(stems, 15)) == (869, 1000)
    assert sum(need.stems for need in needs[4:]) / stems > 0.85


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        ("Table jars", "large_jar"),
        ("bouquets", "attendant bouquet"),
        ("Bridal_bouquet", "bridal bouquet"),
        ("arches", "arch"),
        ("boutonnieres", "buttonhole"),
        ("swan", None),
    ],
)
def test_a_piece_is_known_by_its_other_names_the_farms_own_first(asked: str, meant: str | None) -> None:
    assert named_piece(asked, ["large_jar"], STARTING) == meant


@given(st.dictionaries(st.sampled_from(Role), st.integers(1, 60), min_size=1), st.lists(st.sampled_from(Role)))
def test_a_wish_moves_stems_and_never_adds_any(recipe: dict[Role, int], wishes: list[Role]) -> None:
    found = dict(with_wishes(tuple(recipe.items()), wishes))
    assert sum(found.values()) == sum(recipe.values())
    assert all(stems > 0 for stems in found.values())


@given(stems=st.integers(0, 1000), percent=st.integers(0, 50))
def test_spare_is_the_least_whole_number_that_covers_the_percentage(stems: int, percent: int) -> None:
    spare = spare_for(stems, percent)
    assert spare * 100 >= stems * percent > (spare - 1) * 100 - 1e-6 or spare == 0 == stems * percent


@pytest.mark.parametrize(
    ("hazard_class", "part", "worn", "table"),
    [
        (HazardClass.POISON, PlantPart.ALL, True, True),
        (HazardClass.POISON, PlantPart.SAP, True, True),
        (HazardClass.POISON, PlantPart.SEED, False, True),
        (HazardClass.SUN, PlantPart.SAP, True, True),
        (HazardClass.SKIN, PlantPart.HAIR, True, True),
        (HazardClass.EYE, PlantPart.SAP, True, True),
        (HazardClass.THORN, PlantPart.STEM, True, True),
        (HazardClass.AWN, PlantPart.AWN, True, True),
        (HazardClass.PETS, PlantPart.ALL, False, False),
        (HazardClass.ALLERGY, PlantPart.POLLEN, False, False),
        (HazardClass.FOOD_CONFUSION, PlantPart.LEAF, False, False),
    ],
)
def test_a_hazard_is_asked_about_on_the_skin_and_near_food(
    hazard_class: HazardClass, part: PlantPart, worn: bool, table: bool
) -> None:
    for severity in Severity:
        hazards = [Hazard("Viola", (), hazard_class, severity, (part,), "", ("from_memory",))]
        found = bool(hazards_in(Use.WORN, hazards)), bool(hazards_in(Use.TABLE, hazards))
        assert found == ((False, False) if severity is Severity.MILD else (worn, table))
        assert not hazards_in(Use.SET_UP, hazards)
        if severity is Severity.DANGEROUS:
            assert (is_grave(Use.WORN, hazards), is_grave(Use.TABLE, hazards)) == found


@pytest.mark.parametrize("hazard_class", HazardClass)
def test_harmful_stays_out_unasked_only_where_it_is_worn_and_harms_skin_or_eyes(hazard_class: HazardClass) -> None:
    hazards = [Hazard("Viola", (), hazard_class, Severity.HARMFUL, (PlantPart.ALL,), "", ("from_memory",))]
    on_skin = hazard_class in (HazardClass.SKIN, HazardClass.SUN, HazardClass.EYE)
    assert [is_grave(use, hazards) for use in (Use.WORN, Use.TABLE, Use.SET_UP)] == [on_skin, False, False]


def test_what_does_no_harm_is_asked_about_in_nothing() -> None:
    assert not any(hazards_in(use, []) or is_grave(use, []) for use in Use)


@pytest.mark.parametrize(
    ("piece", "use"),
    [
        ("bridal bouquet", Use.WORN),
        ("buttonhole", Use.WORN),
        ("chair end", Use.SET_UP),
        ("arch", Use.SET_UP),
        ("large_jar", Use.TABLE),
        ("something new", Use.TABLE),
        ("cake_flowers", Use.FOOD),
        ("Food table jar", Use.FOOD),
        ("cake crown", Use.FOOD),
    ],
)
def test_the_use_of_a_piece_is_told_by_its_name_and_a_table_where_it_is_not(piece: str, use: Use) -> None:
    assert use_of(piece) is use
