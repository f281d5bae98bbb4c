"""Where what a quote asks falls, in words that may leave the farm: counts, days and prices, and no chances."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.quotes.places_told import PlacePart, PlaceSowing, PlacesTold
from haulm.language.words import _, marked, one_or_more

PROMISED, SOWN, WISH, BEYOND = (
    marked("We promise"),
    marked("We sow for you"),
    marked("A wish"),
    marked("More than our field gives"),
)
_HELD = marked("It stands in our plan today, and we hold it for you; it is agreed once we have both said so.")
_MANY = ("s", "x", "ch", "sh")


@dataclass(frozen=True, slots=True)
class PlaceWords:
    """One place as a page or a paper shows it.

    Attributes:
        name: its name, to be said later.
        price: what it costs; empty where it has no price.
        sentence: what it means.
        parts: what falls into it, each with its count.
    """

    name: str
    price: str
    sentence: str
    parts: tuple[str, ...]


def places_in_words(places: PlacesTold, currency: str) -> tuple[PlaceWords, ...]:
    """The places into which anything falls, what is surest first.

    Args:
        places: the places.
        currency: ISO 4217 code.
    """
    found: list[PlaceWords] = []
    promised, sown, wish = places.promised, places.sown, places.wish
    if promised is not None:
        price = money_words(promised.price.total_minor, currency)
        said = _(_HELD) if promised.contract else _("It stands in our plan today.")
        found.append(PlaceWords(PROMISED, price, said, _parts(promised.parts)))
    if sown is not None:
        more = money_words(sown.more_minor, currency)
        said = _(
            "Say yes by {yes_by} and this becomes a promise too; after that day it is too late to "
            "sow for it. The seed is in the price."
        ).format(yes_by=day_in_words(sown.yes_by))
        found.append(
            PlaceWords(SOWN, more if promised is None else _("and {more}").format(more=more), said, _parts(sown.parts))
        )
    if wish is not None:
        said = _("Not promised, and nothing is kept for it: told on {told_on}, paid only if it comes.").format(
            told_on=day_in_words(wish.told_on)
        )
        price = _("{price}, only if it comes").format(price=money_words(wish.more_minor, currency))
        found.append(PlaceWords(WISH, price, said, _parts(wish.parts)))
    if places.beyond:
        found.append(PlaceWords(BEYOND, "", _("It has no price: do not count on it."), _parts(places.beyond)))
    return tuple(found)


def part_in_words(part: PlacePart) -> str:
    """So much of what was asked: `4 attendant bouquets`, `80 stems of white or green filler`."""
    if part.is_piece:
        return f"{part.count:,} {part.what if part.count == 1 else _several(part.what)}"
    return one_or_more("{count:,} stem of {what}", "{count:,} stems of {what}", part.count).format(
        count=part.count, what=part.what
    )


def sowings_of(places: PlacesTold) -> tuple[str, ...]:
    """What is sown for the larger part, each with its day."""
    return () if places.sown is None else tuple(map(_said, places.sown.sowings))


def _said(sowing: PlaceSowing) -> str:
    """A sowing in words; what was quoted before versions kept them was sown, and nothing bought."""
    return sowing.said or _("{places} places of {name} on {sow_date}").format(
        places=sowing.places, name=sowing.name, sow_date=day_in_words(sowing.sow_date)
    )


def _parts(parts: Iterable[PlacePart]) -> tuple[str, ...]:
    return tuple(map(part_in_words, parts))


def _several(piece: str) -> str:
    return f"{piece}{'es' if piece.endswith(_MANY) else 's'}"
