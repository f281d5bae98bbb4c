"""Starting recipes: stems by role for one piece, until the farm writes its own."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import cache
from importlib import resources

from haulm.farm.orders import Recipe
from haulm.farm.words import Role


def by_piece(recipes: Iterable[Recipe]) -> dict[str, tuple[Recipe, ...]]:
    """Recipes by piece, in the order in which they are written."""
    found: dict[str, list[Recipe]] = {}
    for recipe in recipes:
        found.setdefault(recipe.piece, []).append(recipe)
    return {piece: tuple(rows) for piece, rows in found.items()}


@cache
def starting_recipes() -> tuple[Recipe, ...]:
    """The recipes that ship with Haulm; the source stands in each row's note."""
    text = resources.files("haulm.crop_library").joinpath("recipes.csv").read_text(encoding="utf-8")
    return tuple(
        Recipe(row["piece"], Role(row["role"]), int(row["stems"]), row["source"])
        for row in csv.DictReader(text.splitlines())
    )
