"""How sure everything should be, in words."""

from __future__ import annotations

from haulm.farm.quantities import percent
from haulm.farm.site import Site
from haulm.farm.words import LineClass

_CLASSES = {
    LineClass.WEDDING: "weddings",
    LineClass.STANDING: "standing orders",
    LineClass.ONE_OFF: "one-off orders",
    LineClass.STALL: "the stall",
}


def levels_in_words(site: Site, asked: float | None = None) -> str:
    """At which level things are judged, as the end of a sentence: `at 90 % sure`.

    Args:
        site: the farm.
        asked: one level asked of everything, 0-1; None where each line is judged at its own.
    """
    if asked is not None:
        return f"at {percent(asked)} sure"
    return f"at the level each was promised at, else {_usual(site)} sure"


def _usual(site: Site) -> str:
    """The farm's levels; classes that share one are named together."""
    if site.default_confidence is not None:
        return percent(site.default_confidence)
    by_level: dict[float, list[str]] = {}
    for line_class, words in _CLASSES.items():
        by_level.setdefault(site.level_of(line_class), []).append(words)
    if len(by_level) == 1:
        return percent(next(iter(by_level)))
    *first, last = (f"{_together(names)} {percent(level)}" for level, names in by_level.items())
    return f"{', '.join(first)} and {last}"


def _together(names: list[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
