"""How sure everything should be, in words."""

from __future__ import annotations

from haulm.farm.quantities import percent
from haulm.farm.site import Site
from haulm.farm.words import LineClass
from haulm.language.words import _, marked

_CLASSES = {
    LineClass.WEDDING: marked("weddings"),
    LineClass.STANDING: marked("standing orders"),
    LineClass.ONE_OFF: marked("one-off orders"),
    LineClass.STALL: marked("the stall"),
}


def levels_in_words(site: Site, asked: float | None = None) -> str:
    """At which level things are judged, as the end of a sentence: `at 90 % sure`.

    Args:
        site: the farm.
        asked: one level asked of everything, 0-1; None where each line is judged at its own.
    """
    if asked is not None:
        return _("at {asked} sure").format(asked=percent(asked))
    return _("at the level each was promised at, else {usual} sure").format(usual=_usual(site))


def _usual(site: Site) -> str:
    """The farm's levels; classes that share one are named together."""
    if site.default_confidence is not None:
        return percent(site.default_confidence)
    by_level: dict[float, list[str]] = {}
    for line_class, words in _CLASSES.items():
        by_level.setdefault(site.level_of(line_class), []).append(_(words))
    if len(by_level) == 1:
        return percent(next(iter(by_level)))
    *first, last = (f"{_together(names)} {percent(level)}" for level, names in by_level.items())
    return _("{first} and {last}").format(first=", ".join(first), last=last)


def _together(names: list[str]) -> str:
    *first, last = names
    return _("{first} and {last}").format(first=", ".join(first), last=last) if first else last
