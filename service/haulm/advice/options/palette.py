"""Colours that stand in for one another in a bunch."""

from __future__ import annotations

_FAMILIES = (
    ("white", "cream", "ivory"),
    ("pink", "rose", "blush", "salmon", "coral"),
    ("apricot", "peach", "orange", "salmon", "coral", "bronze"),
    ("yellow", "gold", "lime"),
    ("red", "crimson", "burgundy", "plum"),
    ("blue", "lilac", "lavender", "mauve", "purple"),
    ("green", "lime"),
    ("tan", "straw", "brown", "bronze"),
)


def same_family(one: str | None, other: str | None) -> bool:
    """Whether two colours, in the farm's own words, are of one family; a colour nobody named is in none.

    Source: colours that florists accept for one another (common practice).
    """
    first, second = (one or "").lower(), (other or "").lower()
    if not first or not second:
        return False
    return first == second or any(first in family and second in family for family in _FAMILIES)
