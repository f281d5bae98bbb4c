"""From pieces to stems."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.pieces import PieceAsked, RoleAsked, spare_for, stems_by_role
from haulm.errors import NotAccepted
from haulm.farm.orders import Recipe
from haulm.farm.words import Role

RECIPES = {
    "bouquet": (Recipe("bouquet", Role.FOCAL, 5), Recipe("bouquet", Role.FILLER, 12)),
    "jar": (Recipe("jar", Role.FILLER, 3),),
}


def test_stems_of_one_role_and_colour_are_added_up_over_pieces() -> None:
    asked = [PieceAsked("bouquet", 2, ("white",)), PieceAsked("jar", 4, ("white",))]
    assert stems_by_role(asked, RECIPES) == (
        RoleAsked(Role.FOCAL, ("white",), 10, ("bouquet",)),
        RoleAsked(Role.FILLER, ("white",), 36, ("bouquet", "jar")),
    )


def test_other_colours_are_another_ask() -> None:
    found = stems_by_role([PieceAsked("jar", 1, ("white",)), PieceAsked("jar", 1)], RECIPES)
    assert [ask.stems for ask in found] == [3, 3]


@pytest.mark.parametrize(("piece", "where"), [(PieceAsked("jar", 0), "count"), (PieceAsked("arch", 1), "piece")])
def test_a_piece_without_a_recipe_or_a_count_is_refused_by_its_place(piece: PieceAsked, where: str) -> None:
    with pytest.raises(NotAccepted) as refused:
        stems_by_role([PieceAsked("jar", 1), piece], RECIPES)
    assert refused.value.where == f"pieces[1].{where}"


@given(stems=st.integers(0, 1000), percent=st.integers(0, 50))
def test_spare_is_the_least_whole_number_that_covers_the_percentage(stems: int, percent: int) -> None:
    spare = spare_for(stems, percent)
    assert spare * 100 >= stems * percent > (spare - 1) * 100 - 1e-6 or spare == 0 == stems * percent
