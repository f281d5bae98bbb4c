"""From pieces to stems: what a bouquet, a jar or an arch asks, by role, with the spare for breakage."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulm.errors import NotAccepted
from haulm.farm.orders import Recipe
from haulm.farm.words import Role

SPARE_PERCENT = 15
"""Spare for breakage and choice; at least 10 % for handling in published habits, 20 % where the couple arranges."""


@dataclass(frozen=True, slots=True)
class PieceAsked:
    """So many of one piece, in these colours (none: any)."""

    piece: str
    count: int
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RoleAsked:
    """Stems of one role in these colours, and the pieces they are for."""

    role: Role
    colours: tuple[str, ...]
    stems: int
    pieces: tuple[str, ...]


def stems_by_role(asked: Sequence[PieceAsked], recipes: Mapping[str, tuple[Recipe, ...]]) -> tuple[RoleAsked, ...]:
    """The stems that pieces take, added up by role and colours, in the order in which they are first met.

    Raises:
        NotAccepted: a piece has no recipe, or its count is not positive.
    """
    found: dict[tuple[Role, tuple[str, ...]], list[tuple[str, int]]] = {}
    for place, piece in enumerate(asked):
        where = f"pieces[{place}]"
        if piece.count < 1:
            raise NotAccepted(where=f"{where}.count", found=str(piece.count), accepted="a count of 1 or more")
        if piece.piece not in recipes:
            known = ", ".join(sorted(recipes))
            raise NotAccepted(where=f"{where}.piece", found=f"'{piece.piece}'", accepted=f"one of {known}")
        for row in recipes[piece.piece]:
            found.setdefault((row.role, piece.colours), []).append((piece.piece, row.stems * piece.count))
    return tuple(
        RoleAsked(role, colours, sum(stems for _, stems in parts), tuple(dict.fromkeys(name for name, _ in parts)))
        for (role, colours), parts in found.items()
    )


def spare_for(stems: int, percent: float) -> int:
    """Whole stems of spare for a line, rounded up."""
    return math.ceil(stems * percent / 100 - 1e-9)
