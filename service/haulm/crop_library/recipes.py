"""Starting recipes: stems by role for one piece, until the farm writes its own."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import cache
from importlib import resources

from haulm.farm.orders import Recipe
from haulm.farm.words import Role


def recipes_for(own: Iterable[Recipe]) -> dict[str, tuple[Recipe, ...]]:
    """The recipe of each piece: the farm's own where it has written one, else the starting recipe."""
    found = _by_piece(starting_recipes())
    found.update(_by_piece(own))
    return found


@cache
def starting_recipes() -> tuple[Recipe, ...]:
    """The recipes that ship with Haulm; the source stands in each row's note."""
    text = resources.files("haulm.crop_library").joinpath("recipes.csv").read_text(encoding="utf-8")
    return tuple(
        Recipe(row["piece"], Role(row["role"]), int(row["stems"]), row["source"])
        for row in csv.DictReader(text.splitlines())
    )


def _by_piece(recipes: Iterable[Recipe]) -> dict[str, tuple[Recipe, ...]]:
    found: dict[str, list[Recipe]] = {}
    for recipe in recipes:
        found.setdefault(recipe.piece, []).append(recipe)
    return {piece: tuple(rows) for piece, rows in found.items()}
