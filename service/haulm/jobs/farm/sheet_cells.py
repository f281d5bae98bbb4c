"""One cell of a sheet into what it means on this farm: names into kinds, beds and people, words into methods, days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from rapidfuzz import fuzz, process

from haulm.advice.room import tray_size
from haulm.crop_library.library import library
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import BedKind, Method, Weekday
from haulm.farm_folder.sheet_columns import Reads
from haulm.farm_folder.sheet_values import (
    FEET_M,
    INCHES_CM,
    DateOrder,
    Quantity,
    day_of,
    is_two_numbers,
    quantity_of,
)
from haulm.jobs.desk.money_words import minor_from
from haulm.jobs.desk.names import HOW_WORDS
from haulm.language.words import _, many
from haulm.planning.keeping import crops_of

SAME_NAME = 92
"""From so alike on two names are one (of 100), where no other is as alike: a letter's slip, no more."""
_FEET = ("ft", "foot", "feet", "'")
_METRES_WORDS = ("", "m", "metre", "metres", "meter", "meters")
_INCHES = ("in", "inch", "inches")
_CENTIMETRES = ("", "cm", "centimetres", "centimeters")
_TRAYS = ("tray", "trays")
_BUNCHES = ("bunch", "bunches", "bu", "bun")
_STEMS = ("", "stem", "stems", "st", "stm")
_PLACES = ("", "place", "places", "cell", "cells", "plant", "plants", "plug", "plugs", "pot", "pots", "corm", "corms")
_PLACE_WORDS = (*_PLACES, "tuber", "tubers", "bulb", "bulbs", "clump", "clumps", "station", "stations")
_WORDS_OF_METHODS: Mapping[Method, tuple[str, ...]] = {
    Method.HEATED: ("heated", "heat", "heated bench", "propagator", "heat mat", "bottom heat"),
    Method.COVER: ("cover", "under cover", "tray", "trays", "module", "modules", "greenhouse", "indoors", "inside"),
    Method.DIRECT: ("direct", "direct sown", "direct sow", "drilled", "in place", "outdoors", "field", "in situ"),
    Method.PLUGS: ("plug", "plugs", "bought", "bought in", "bought plants", "starts", "seedlings"),
    Method.TUBER: ("tuber", "tubers", "bulb", "bulbs", "corm", "corms"),
    Method.ESTABLISHED: ("established", "perennial", "there already", "standing"),
}
_WORDS_OF_BEDS: Mapping[BedKind, tuple[str, ...]] = {
    BedKind.OUTDOOR: ("outdoor", "outdoors", "outside", "field", "no", "open"),
    BedKind.TUNNEL: (
        "tunnel",
        "in a tunnel",
        "polytunnel",
        "hoop house",
        "high tunnel",
        "yes",
        "under cover",
        "inside",
    ),
    BedKind.BENCH: ("bench", "bench for trays", "staging"),
}


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell that says nothing that can be taken, and what would be."""

    accepted: str


def folded(text: str) -> str:
    """A name without regard to case and spaces."""
    return " ".join(text.casefold().split())


class CellReader:
    """Reads the cells of one sheet for one farm."""

    def __init__(self, farm: Farm, order: DateOrder | None, today: date) -> None:
        self.today = today
        self._farm, self._order = farm, order
        self._crops = crops_of(farm)
        self._names = {
            Reads.KIND: {folded(row.name): row.key for row in farm.varieties},
            Reads.BED: {folded(row.name): row.key for row in farm.beds if row.kind is not BedKind.BENCH},
            Reads.CUSTOMER: {folded(row.name): row.key for row in farm.customers},
        }
        names = [*(one.name for one in farm.varieties), *(one.name for one in farm.beds)]
        self._shown = {folded(name): name for name in (*names, *(one.name for one in farm.customers))}

    def read(self, reads: Reads, cell: str) -> Any:
        """What a cell means; `Unread` where it means nothing here."""
        if reads in self._names:
            return self._named(reads, cell)
        if reads in (Reads.TEXT, Reads.EMAIL):
            return cell
        if reads is Reads.DAY:
            return day_of(cell, order=self._order, year=self.today.year) or Unread(self.accepted(reads))
        if reads in (Reads.WEEKDAY, Reads.METHOD, Reads.BED_KIND):
            found = _word(reads, cell)
            return Unread(self.accepted(reads)) if found is None else found
        return self._number(reads, cell)

    def words(self, reads: Reads, value: Any, kind: str | None = None) -> str:
        """What a cell is taken to mean, as people say it; empty where that is plainly what was typed.

        Args:
            reads: how it was read.
            value: what it means.
            kind: the kind of its row, whose bunches may be counted.
        """
        if reads in self._names:
            return self._shown[next(name for name, key in self._names[reads].items() if key == value)]
        if reads is Reads.DAY:
            return day_in_words(value)
        if reads is Reads.METHOD:
            return _(HOW_WORDS[value])
        if reads is Reads.WEEKDAY:
            return str(value.full_name)
        if reads is Reads.STEMS and kind is not None:
            return many("{count} stem", "{count} stems", self.stems(value, kind))
        if reads is Reads.PLACES:
            return many("{count} place", "{count} places", self.places(value)[0])
        if reads is Reads.METRES:
            return f"{value:g} m"
        return f"{value:g} cm" if reads is Reads.CENTIMETRES else ""

    def is_near(self, reads: Reads, cell: str) -> bool:
        """Whether a name was only nearly one of the farm's: other letters, not other case, spaces or order of words."""
        if reads not in self._names:
            return False
        said = sorted(folded(cell).split())
        return all(sorted(name.split()) != said for name in self._names[reads])

    def accepted(self, reads: Reads) -> str:
        """What a cell of a field may say, as a clause."""
        if reads in self._names:
            names = [self._shown[name] for name in self._names[reads]][:4]
            return (
                f"one of the farm's own, such as {', '.join(names)}" if names else f"none yet: the farm has no {reads}"
            )
        return _ACCEPTED[reads]

    def stems(self, found: Quantity, kind: str) -> int:
        """Stems of an amount that may be said in bunches of the kind."""
        size = self._crops[kind].bunch_stems if found.unit in _BUNCHES else 1
        return round(found.number * size)

    def places(self, found: Quantity) -> tuple[int, float | None]:
        """Places of an amount that may be said in trays, and the trays; None where it was not."""
        if found.unit in _TRAYS:
            return round(found.number * tray_size(self._farm.batches)), found.number
        return round(found.number), None

    def minor(self, found: Quantity) -> int | str:
        """Money in minor units of the farm's currency; what is no exact amount stays as it is, to be refused."""
        return minor_from(f"{found.number:g}", self._farm.site.currency)

    def library_kind(self, name: str) -> str | None:
        """The kind of the library that a name ends or begins with; None where none is meant for certain."""
        said = f" {folded(name)} "
        found = [(len(kind.name), kind.key) for kind in library().values() if f" {folded(kind.name)} " in said]
        return max(found)[1] if found else None

    def _named(self, reads: Reads, cell: str) -> str | Unread:
        names = self._names[reads]
        said = folded(cell)
        if said in names:
            return names[said]
        likely = process.extract(said, list(names), scorer=fuzz.token_sort_ratio, limit=2)
        if likely and likely[0][1] >= SAME_NAME and (len(likely) == 1 or likely[1][1] < likely[0][1]):
            return names[likely[0][0]]
        accepted = self.accepted(reads)
        return Unread(f"{accepted}; the nearest is {self._shown[likely[0][0]]}" if likely else accepted)

    def _number(self, reads: Reads, cell: str) -> Any:
        found = quantity_of(cell)
        if found is None or found.number < 0:
            return Unread(self.accepted(reads))
        if reads is Reads.MONEY:
            return Unread("1200 or 1.20: this could be either") if is_two_numbers(cell) else found
        if reads in (Reads.METRES, Reads.CENTIMETRES):
            if is_two_numbers(cell):
                return Unread("1200 or 1.2: this could be either")
            return _length(reads, found) or Unread(self.accepted(reads))
        units, is_whole = _UNITS[reads], found.number == int(found.number)
        if found.unit not in units or not (is_whole or found.unit in _TRAYS):
            return Unread(self.accepted(reads))
        return found if reads in (Reads.STEMS, Reads.PLACES) else int(found.number)


def _length(reads: Reads, found: Quantity) -> float | None:
    """A length in the unit of its field; one without a unit is taken to be in it, a width below 10 in metres."""
    metres = {**dict.fromkeys(_METRES_WORDS, 1.0), **dict.fromkeys(_FEET, FEET_M)}
    centimetres = {**dict.fromkeys(_CENTIMETRES, 0.01), **dict.fromkeys(_INCHES, INCHES_CM / 100)}
    is_width = reads is Reads.CENTIMETRES
    factors = {**metres, **centimetres} if is_width else {**centimetres, **metres}
    factor = factors.get(found.unit)
    if factor is None:
        return None
    if is_width and not found.unit and found.number < _WIDE_IN_METRES:
        factor = 1.0
    return round(found.number * factor * (100 if is_width else 1), 2)


def _word(reads: Reads, cell: str) -> Weekday | Method | BedKind | None:
    said = folded(cell).rstrip("s") if reads is Reads.WEEKDAY else folded(cell)
    if reads is Reads.WEEKDAY:
        return next((day for day in Weekday if len(said) > 1 and folded(day.full_name).startswith(said[:9])), None)
    words: Iterable[tuple[Any, tuple[str, ...]]] = (
        _WORDS_OF_METHODS.items() if reads is Reads.METHOD else _WORDS_OF_BEDS.items()
    )
    return next((word for word, names in words if said in (*names, str(word))), None)


_WIDE_IN_METRES = 10
_UNITS: Mapping[Reads, tuple[str, ...]] = {
    Reads.COUNT: ("", *_STEMS, "day", "days", "week", "weeks"),
    Reads.STEMS: (*_STEMS, *_BUNCHES),
    Reads.PLACES: (*_PLACE_WORDS, *_TRAYS),
    Reads.TRAYS: ("", *_TRAYS),
}
_ACCEPTED: Mapping[Reads, str] = {
    Reads.TEXT: "some words",
    Reads.EMAIL: "one email address such as anna@example.org",
    Reads.DAY: "a day such as 5 April 2027, 2027-04-05 or 5.4.27",
    Reads.COUNT: "a whole number such as 10",
    Reads.STEMS: "stems or bunches, such as 20, 20 stems or 2 bunches",
    Reads.PLACES: "places or trays, such as 72, 72 cells or 3 trays",
    Reads.TRAYS: "a whole number of trays, such as 12",
    Reads.METRES: "a length such as 12.5, 12,5 m or 40 ft",
    Reads.CENTIMETRES: "a width such as 120, 1.2 m or 48 in",
    Reads.MONEY: "an amount such as 4.50 or 4,50",
    Reads.WEEKDAY: "a weekday such as Tuesday or Tue",
    Reads.METHOD: "heated, under cover, direct, plugs or tubers",
    Reads.BED_KIND: "outdoors, tunnel or bench",
}
