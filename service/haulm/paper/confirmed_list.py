"""A confirmed bucket list read back for paper: the one place that knows the names of its facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.errors import NotFound
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.confirmed_lists import confirmed_bucket_list
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _


@dataclass(frozen=True, slots=True)
class Part:
    """Stems of one product, length and cut that go out together.

    Attributes:
        product: what they are.
        length_cm: lower limit of the length class, or None.
        cut_date: when they were cut; None for stems that stood in the field when the list was confirmed.
        stems: how many.
    """

    product: Product
    length_cm: int | None
    cut_date: date | None
    stems: int


@dataclass(frozen=True, slots=True)
class PackedLine:
    """One line of a confirmed list.

    Attributes:
        line: its key; `order` that of its order.
        is_loose: whether it goes out by the stem and not in bunches, as a wedding does.
        asked: the product or the choice asked, as text.
        due: the day the stems leave.
        wanted: stems asked.
        parts: what goes out; `spare` is the breakage allowance beside it.
        caution: the caution that was confirmed with it, or empty.
    """

    line: str
    order: str
    is_loose: bool
    asked: str
    due: date
    wanted: int
    parts: tuple[Part, ...]
    spare: tuple[Part, ...]
    caution: str

    @property
    def stems(self) -> int:
        """Stems that go out, without spare."""
        return sum(part.stems for part in self.parts)

    def asked_words(self, crops: Mapping[str, Crop]) -> str:
        """What was asked, in words."""
        return asked_in_words(self.asked, crops)

    def is_instead(self, part: Part) -> bool:
        """Whether a part is not the very product that was asked."""
        return str(part.product) != self.asked


@dataclass(frozen=True, slots=True)
class Packed:
    """What one customer gets."""

    customer: str
    lines: tuple[PackedLine, ...]


def confirmed_list(desk: Desk, day: date) -> tuple[Packed, ...]:
    """The list of a day as it was confirmed, by customer.

    Raises:
        NotFound: none was confirmed for that day.
    """
    facts = confirmed_bucket_list(desk, day)
    if facts is None:
        raise NotFound(kind=_("confirmed bucket list"), key=day.isoformat())
    return tuple(
        Packed(str(found["customer"]), tuple(_line(line) for line in found["lines"])) for found in _items(facts)
    )


def kept_caution(part: Part, line: PackedLine, crops: Mapping[str, Crop]) -> str:
    """The caution of the confirmed list where a kind is grown no more; else nothing: the paper says its care."""
    return line.caution if part.product.variety not in crops else ""


def _items(facts: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    found: Sequence[Mapping[str, Any]] = facts["customers"]
    return found


def _line(facts: Mapping[str, Any]) -> PackedLine:
    return PackedLine(
        line=str(facts["line"]),
        order=str(facts["order"]),
        is_loose=facts["class"] == LineClass.WEDDING,
        asked=str(facts.get("product") or facts.get("choice") or ""),
        due=date.fromisoformat(facts["due"]),
        wanted=int(facts["asked"]),
        parts=_parts(facts.get("from")),
        spare=_parts(facts.get("spare_from")),
        caution=str(facts.get("caution") or ""),
    )


def _parts(sources: Sequence[Mapping[str, Any]] | None) -> tuple[Part, ...]:
    """The sources put together by product, length and day of cutting, in their order."""
    sums: dict[tuple[str, int | None, str | None], int] = {}
    for source in sources or ():
        key = (str(source["product"]), source.get("length_cm"), source.get("cut_date"))
        sums[key] = sums.get(key, 0) + int(source["stems"])
    return tuple(
        Part(Product.parse(product), length_cm, None if cut is None else date.fromisoformat(cut), stems)
        for (product, length_cm, cut), stems in sums.items()
        if stems
    )
