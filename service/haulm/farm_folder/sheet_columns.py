"""Which column of somebody's sheet is which: what may be brought in, under which names, and a proposal for each."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rapidfuzz import fuzz

from haulm.language.words import marked

LIKELY = 78
"""From so alike on a column is proposed (of 100)."""


class Reads(StrEnum):
    """How a cell of a field is read."""

    TEXT = "text"
    EMAIL = "email"
    DAY = "day"
    COUNT = "count"
    STEMS = "stems"
    PLACES = "places"
    TRAYS = "trays"
    METRES = "metres"
    CENTIMETRES = "centimetres"
    MONEY = "money"
    WEEKDAY = "weekday"
    METHOD = "method"
    BED_KIND = "bed_kind"
    KIND = "kind"
    BED = "bed"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class Field:
    """A field that a column may fill.

    Attributes:
        name: its name in the code of the sheet.
        words: what people call it.
        reads: how its cells are read.
        aliases: other heads of such a column.
        required: whether every row needs it.
    """

    name: str
    words: str
    reads: Reads
    aliases: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Target:
    """What a sheet may hold: its word in an address, what people call it, its fields."""

    name: str
    words: str
    fields: tuple[Field, ...]

    def field(self, name: str) -> Field | None:
        """The field of a name."""
        return next((one for one in self.fields if one.name == name), None)


_KIND = ("variety", "crop", "flower", "kind", "plant", "product", "item", "what", "cultivar", "type")
_CUSTOMER = ("florist", "client", "buyer", "shop", "who", "company", "account", "customer name")
TARGETS: tuple[Target, ...] = (
    Target(
        "kinds",
        marked("Kinds"),
        (
            Field("name", marked("name"), Reads.TEXT, _KIND, required=True),
            Field("colour", marked("colour"), Reads.TEXT, ("color", "shade")),
            Field("botanical_name", marked("botanical name"), Reads.TEXT, ("latin", "latin name", "species")),
            Field(
                "bunch_stems", marked("stems in a bunch"), Reads.COUNT, ("bunch size", "stems per bunch", "bunch of")
            ),
            Field(
                "price", marked("price of a bunch"), Reads.MONEY, ("price", "bunch price", "price per bunch", "cost")
            ),
        ),
    ),
    Target(
        "beds",
        marked("Beds"),
        (
            Field("name", marked("name"), Reads.TEXT, ("bed", "bed name", "block", "plot", "row", "no"), required=True),
            Field(
                "metres", marked("length"), Reads.METRES, ("metres", "meters", "m", "long", "bed length", "feet", "ft")
            ),
            Field("width_cm", marked("width"), Reads.CENTIMETRES, ("wide", "bed width", "width cm", "breadth")),
            Field("kind", marked("where"), Reads.BED_KIND, ("tunnel", "under cover", "inside", "location", "type")),
            Field("trays", marked("trays it holds"), Reads.TRAYS, ("trays", "tray places")),
        ),
    ),
    Target(
        "customers",
        marked("Customers"),
        (
            Field("name", marked("name"), Reads.TEXT, (*_CUSTOMER, "customer"), required=True),
            Field("email", marked("email"), Reads.EMAIL, ("e-mail", "mail", "email address", "contact")),
            Field("phone", marked("phone"), Reads.TEXT, ("telephone", "tel", "mobile", "phone number", "cell phone")),
            Field("notice_days", marked("days of notice"), Reads.COUNT, ("notice", "notice days", "lead time")),
        ),
    ),
    Target(
        "sowings",
        marked("Sowings"),
        (
            Field("kind", marked("kind"), Reads.KIND, _KIND, required=True),
            Field(
                "sow_date", marked("sown on"), Reads.DAY, ("sow date", "date", "sowing", "sow", "sown", "start", "when")
            ),
            Field(
                "plant_out_date",
                marked("planted out on"),
                Reads.DAY,
                ("plant out", "transplant", "planting", "planted"),
            ),
            Field(
                "places",
                marked("places"),
                Reads.PLACES,
                ("quantity", "qty", "plants", "cells", "number", "amount", "how many", "count", "sown"),
                required=True,
            ),
            Field(
                "method", marked("how it is started"), Reads.METHOD, ("method", "how", "where sown", "sowing method")
            ),
            Field("bed", marked("bed"), Reads.BED, ("bed name", "block", "plot", "where", "location")),
            Field("metres", marked("metres of bed"), Reads.METRES, ("bed metres", "length", "bed length", "bed feet")),
        ),
    ),
    Target(
        "standing-orders",
        marked("Standing orders"),
        (
            Field("customer", marked("customer"), Reads.CUSTOMER, _CUSTOMER, required=True),
            Field("kind", marked("kind"), Reads.KIND, _KIND, required=True),
            Field(
                "stems",
                marked("stems each time"),
                Reads.STEMS,
                ("stems", "quantity", "qty", "amount", "per week", "stems a week", "how many", "number"),
                required=True,
            ),
            Field("weekday", marked("weekday"), Reads.WEEKDAY, ("day", "delivery day", "delivery", "day of the week")),
            Field(
                "first",
                marked("from"),
                Reads.DAY,
                ("first", "start", "begins", "first week", "start date"),
                required=True,
            ),
            Field(
                "last",
                marked("to"),
                Reads.DAY,
                ("last", "end", "ends", "until", "last week", "end date"),
                required=True,
            ),
            Field("every", marked("every how many weeks"), Reads.COUNT, ("every", "interval", "frequency")),
        ),
    ),
)
BY_NAME: Mapping[str, Target] = {target.name: target for target in TARGETS}


def proposed_columns(target: Target, header: Sequence[str]) -> tuple[str, ...]:
    """For each head of a column the field it is likely to be, each field once; empty where none is likely.

    Args:
        target: what the sheet holds.
        header: the cells of its first row.
    """
    scores = [
        (_likeness(field, head), -at, field.name, at)
        for at, head in enumerate(header)
        for field in target.fields
        if head
    ]
    found: dict[int, str] = {}
    for score, _, name, at in sorted(scores, reverse=True):
        if score >= LIKELY and at not in found and name not in found.values():
            found[at] = name
    return tuple(found.get(at, "") for at in range(len(header)))


def _likeness(field: Field, head: str) -> float:
    """How alike a head is to the names of a field, 0-100; what stands in brackets, a unit, counts for nothing."""
    said = _plain(re.sub(r"[\[(].*?[\])]", " ", head)) or _plain(head)
    names = (field.words, field.name.replace("_", " "), *field.aliases)
    return max(fuzz.ratio(said, _plain(name)) for name in names)


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^\w]+", " ", text.casefold().replace("_", " ")).split())
