"""A palette in words: `soft whites with movement` becomes colours and roles that are wished for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulm.errors import NotAccepted
from haulm.farm.words import Role

COLOURS: Mapping[str, tuple[str, ...]] = {
    "white": ("white",),
    "cream": ("cream", "white"),
    "creamy": ("cream", "white"),
    "ivory": ("cream", "white"),
    "blush": ("pink", "cream"),
    "pink": ("pink",),
    "rose": ("pink",),
    "peach": ("apricot", "cream"),
    "peachy": ("apricot", "cream"),
    "apricot": ("apricot",),
    "coral": ("apricot", "orange"),
    "orange": ("orange", "apricot"),
    "yellow": ("yellow",),
    "lemon": ("yellow", "cream"),
    "butter": ("yellow", "cream"),
    "gold": ("yellow", "bronze"),
    "red": ("red",),
    "burgundy": ("burgundy",),
    "wine": ("burgundy",),
    "plum": ("burgundy", "purple"),
    "bronze": ("bronze",),
    "copper": ("bronze",),
    "rust": ("bronze", "orange"),
    "tan": ("tan",),
    "lilac": ("lilac",),
    "lavender": ("lilac",),
    "mauve": ("lilac", "pink"),
    "purple": ("purple", "lilac"),
    "blue": ("blue",),
    "green": ("green",),
    "pastel": ("pink", "lilac", "apricot", "cream"),
    "jewel": ("burgundy", "purple", "blue"),
    "autumn": ("bronze", "apricot", "burgundy", "yellow"),
    "autumnal": ("bronze", "apricot", "burgundy", "yellow"),
    "sunset": ("apricot", "orange", "pink", "yellow"),
}
"""Words of colour and the colours they stand for (common practice)."""
WISHES: Mapping[str, Role] = {
    "movement": Role.MOVEMENT,
    "airy": Role.MOVEMENT,
    "dancing": Role.MOVEMENT,
    "grass": Role.MOVEMENT,
    "grassy": Role.MOVEMENT,
    "grasses": Role.MOVEMENT,
    "meadow": Role.MOVEMENT,
    "wild": Role.MOVEMENT,
    "texture": Role.TEXTURE,
    "textured": Role.TEXTURE,
    "greenery": Role.FOLIAGE,
    "foliage": Role.FOLIAGE,
    "leafy": Role.FOLIAGE,
    "height": Role.SPIKE,
    "spire": Role.SPIKE,
    "tall": Role.SPIKE,
}
"""Words of character and the role that is wished for."""
SOFT = frozenset({"soft", "pale", "light", "gentle", "delicate", "muted"})
"""Words that bring cream to whatever they stand beside."""
PLAIN = frozenset(
    "a all and any colour colours color colors flower flowers in lot lots mix mixed mostly much of only or plenty "
    "palette shade shades some style the theme tone tones with".split()
)
"""Words that say nothing of colour or role."""
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Palette:
    """A palette in the couple's words, the colours they stand for (none: any) and the roles wished for."""

    text: str
    colours: tuple[str, ...]
    wishes: tuple[Role, ...]


ANY_PALETTE = Palette("", (), ())
"""No palette: any colour, no wish."""


def palette_of(text: str, farms_colours: Iterable[str] = ()) -> Palette:
    """The colours and wishes of a palette in words; a colour that a kind of the farm has is a word too.

    Raises:
        NotAccepted: a word is not known.
    """
    own = {colour.casefold() for colour in farms_colours}
    colours: list[str] = []
    wishes: list[Role] = []
    words = _WORD.findall(text.casefold())
    for word in words:
        known = _found(word, own)
        if known is None:
            raise _unknown(word)
        colours += known[0]
        wishes += known[1]
    if any(word in SOFT for word in words):
        colours.append("cream")
    return Palette(text.strip(), tuple(dict.fromkeys(colours)), tuple(dict.fromkeys(wishes)))


def beside(colours: Iterable[str]) -> tuple[str, ...]:
    """The palette that flowers of these colours make: what each stands for as a word, its own colour first."""
    words = [colour.casefold() for colour in colours]
    return tuple(dict.fromkeys(meant for word in words for meant in (word, *COLOURS.get(word, ()))))


def _found(word: str, own: set[str]) -> tuple[tuple[str, ...], tuple[Role, ...]] | None:
    """What a word, or its singular, stands for: colours and wishes; None where it is not known."""
    for form in (word, word.removesuffix("s"), word.removesuffix("es")):
        if form in own and form not in COLOURS:
            return (form,), ()
        if form in COLOURS:
            return COLOURS[form], ()
        if form in WISHES:
            return (), (WISHES[form],)
        if form in SOFT or form in PLAIN:
            return (), ()
    return None


def _unknown(word: str) -> NotAccepted:
    known = ", ".join(sorted({*COLOURS, *WISHES, *SOFT}))
    return NotAccepted(where="palette", found=f"'{word}'", accepted=f"words among {known}, or a colour that you grow")
