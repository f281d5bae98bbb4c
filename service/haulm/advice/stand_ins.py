"""What may stand in: kinds of the same role and palette for a named kind, neighbouring roles for a role."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulm.advice.options.palette import same_family
from haulm.advice.pricing import answering
from haulm.farm.products import Choice, Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, Role

NEIGHBOURS: Mapping[Role, tuple[Role, ...]] = {
    Role.FOCAL: (Role.SECONDARY,),
    Role.SECONDARY: (Role.FOCAL, Role.ACCENT, Role.FILLER),
    Role.SPIKE: (Role.SECONDARY, Role.ACCENT, Role.FILLER),
    Role.ACCENT: (Role.SECONDARY, Role.FILLER, Role.TEXTURE),
    Role.FILLER: (Role.FOLIAGE, Role.TEXTURE, Role.ACCENT),
    Role.TEXTURE: (Role.MOVEMENT, Role.FILLER),
    Role.MOVEMENT: (Role.TEXTURE, Role.FILLER),
    Role.FOLIAGE: (Role.FILLER, Role.TEXTURE),
}
"""By role, those whose stems do much the same in a bunch (common practice)."""
WITH_GREEN: frozenset[Role] = frozenset({Role.FILLER, Role.TEXTURE, Role.MOVEMENT, Role.FOLIAGE})
"""Roles in which green goes with every palette (common practice)."""
SERVED: tuple[Role, ...] = (
    Role.FOLIAGE,
    Role.MOVEMENT,
    Role.TEXTURE,
    Role.FILLER,
    Role.ACCENT,
    Role.SECONDARY,
    Role.SPIKE,
    Role.FOCAL,
)
"""Roles in the order in which those of one order are served: the plentiful first, so that what is left of them may
stand in for the scarce (common practice)."""


def colours_for(role: Role, palette: tuple[str, ...]) -> tuple[str, ...]:
    """The colours of a role in a palette: green goes with any of them where the role is a green one."""
    if not palette or role not in WITH_GREEN or "green" in palette:
        return palette
    return (*palette, "green")


def in_place_of_role(choice: Choice, crops: Mapping[str, Crop]) -> tuple[Product, ...]:
    """The farm's products that may stand in for a role: those of its neighbours in the same colours and forms.

    Args:
        choice: what answers the role itself; none of that is among them, nor is a kind that it bars.
        crops: every variety, by key.

    Returns:
        The nearest role's products first, those of one role by key. None where the choice takes any role.
    """
    roles = dict.fromkeys(neighbour for role in choice.roles for neighbour in NEIGHBOURS[role])
    others = [role for role in roles if role not in choice.roles]
    return tuple(product for role in others for product in answering(replace(choice, roles=(role,)), crops))


def in_place_of_kind(
    product: Product, palette: tuple[str, ...], crops: Mapping[str, Crop], *, forms: tuple[Form, ...]
) -> tuple[Product, ...]:
    """The farm's products that may stand in for a named kind: those of its role in a palette.

    Args:
        product: the named kind; it is not among them.
        palette: the colours of the palette, none for any.
        crops: every variety, by key.
        forms: the forms that count.

    Returns:
        Those of its own form first; of these its own colour, then its family of colours, then the rest of the
        palette; each by key.
    """
    own = crops[product.variety]
    found = answering(Choice((own.role,), colours_for(own.role, palette), forms), crops)
    others = [other for other in found if other != product]

    def distance(other: Product) -> tuple[bool, int, Product]:
        return other.form is not product.form, _unlike(crops[other.variety].colour, own.colour), other

    return tuple(sorted(others, key=distance))


def _unlike(colour: str | None, own: str | None) -> int:
    """How far a colour is from a kind's own: 0 the same, 1 of its family, 2 neither."""
    if (colour or "").lower() == (own or "").lower():
        return 0
    return 1 if same_family(colour, own) else 2
