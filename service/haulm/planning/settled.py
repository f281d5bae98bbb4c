"""What confirmed bucket lists have settled: lines that ask no more, and stems that are packed and gone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from haulm.farm.products import Product
from haulm.matching.supply import Lot


@dataclass(frozen=True, slots=True)
class Settled:
    """What is no longer to be matched.

    Attributes:
        lines: line keys and due dates that are on a confirmed list.
        packed: stems packed out of each pile, by product and the pile's name (see `pile_name`) [stems].
        booked: stems of each pile that the book of stems has taken out of the field, wherever they are now [stems].
    """

    lines: frozenset[tuple[str, date]] = frozenset()
    packed: Mapping[tuple[Product, str], int] = field(default_factory=dict)
    # What grows does not depend on it, so a cut that was only stored is no reason to draw seasons anew.
    booked: Mapping[tuple[Product, str], int] = field(default_factory=dict, compare=False)


NOTHING_SETTLED = Settled()
_FIELD = "field:"


def pile_name(lot: Lot, length_cm: int) -> str:
    """The name under which a lot stands in the book of stems: a count's key, or the field's ready date and length.

    No key holds a colon, so the two are never mistaken for each other.
    """
    return lot.key or f"{_FIELD}{lot.ready.isoformat()}.{length_cm}"


def is_from_field(pile: str) -> bool:
    """Whether a pile's stems were packed straight from the field, before anybody wrote down their cut."""
    return pile.startswith(_FIELD)


def packed_from_field(settled: Settled, product: Product) -> list[tuple[date, int]]:
    """Ready dates and stems that were packed straight from the field, oldest first."""
    found = [
        (date.fromisoformat(name.removeprefix(_FIELD).partition(".")[0]), stems)
        for (packed, name), stems in settled.packed.items()
        if packed == product and is_from_field(name)
    ]
    return sorted(found)
