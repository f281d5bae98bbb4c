"""Which roles may stand in for one another, the nearest first."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.farm.words import Role

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


def colours_for(role: Role, palette: tuple[str, ...]) -> tuple[str, ...]:
    """The colours of a role in a palette: green goes with any of them where the role is a green one."""
    if not palette or role not in WITH_GREEN or "green" in palette:
        return palette
    return (*palette, "green")
