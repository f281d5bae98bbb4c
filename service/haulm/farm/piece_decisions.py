"""What the grower decided about kinds in pieces, and the use of a piece, by which she is asked."""

from __future__ import annotations

import re
from dataclasses import dataclass

from haulm.farm.words import Decision, Use

ASKED_USES = (Use.WORN, Use.TABLE)
"""The uses about which the grower decides: what is set up takes any kind, what goes with food only what is food."""

_FOOD = re.compile(r"\bcake|food|edible|dessert|buffet|canap|cocktail|\bdrink|\bplate")
_WORN = re.compile(r"bouquet|posy|buttonhole|boutonniere|corsage|crown|\bhair\b|lapel|bracelet")
_SET_UP = re.compile(r"arch|urn|aisle|chair|pew|bucket|loose|pedestal|installation|door|bunch|staircase|entrance")


@dataclass(frozen=True, slots=True)
class PieceDecision:
    """A kind used all the same, or kept out: of everything of a use, or of one piece, which goes before its use.

    Attributes:
        variety: key of the kind.
        use: worn or on a table.
        decision: what was decided.
        piece: the one piece it is about; None for every piece of the use.
        note: what goes with it, such as gloves for whoever binds.
    """

    variety: str
    use: Use
    decision: Decision
    piece: str | None = None
    note: str = ""


def use_of(piece: str) -> Use:
    """The use of a piece, by the words in its name; what none of them tells is taken to stand on a table."""
    name = piece.casefold().replace("_", " ")
    # Food first: what lies on a cake may be eaten even where it is called a posy.
    if _FOOD.search(name):
        return Use.FOOD
    if _WORN.search(name):
        return Use.WORN
    return Use.SET_UP if _SET_UP.search(name) else Use.TABLE
