"""A bucket list in the making: its lines, what the grower decides of them, and one line made of its stems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from haulm.advice.even_share import Share
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.matching.which_stems import Source

LineDue = tuple[str, date]
"""A line's key and the day its stems leave."""


@dataclass(frozen=True, slots=True)
class BucketLine:
    """One line of the list: what was asked, what there is for it, and how it goes out.

    Attributes:
        line: the dated line.
        filled: stems there are for it, from `sources`.
        bunches: whole bunches that go out; stems sold by the stem (weddings) go out as they are.
        over: stems that whole bunches leave behind.
        caution: what to take care of, or None.
        share: the working of an even share, where the grower chose one.
        spare: stems of its breakage allowance asked; what there is for it, `spare_sources`, goes with it loose.
    """

    line: DatedLine
    filled: int
    bunches: int
    over: int
    sources: tuple[Source, ...]
    caution: str | None
    spare: int = 0
    spare_sources: tuple[Source, ...] = ()
    share: Share | None = None


@dataclass(frozen=True, slots=True)
class BucketList:
    """The lines due from a bucket day to the day before the next."""

    day: date
    last: date
    lines: tuple[BucketLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What the grower decides of a list; nothing decided leaves it as drafted.

    Attributes:
        trimmed: stems to send, by line and due date; fewer than there are, or none.
        kinds: the one product that fills a line, by line and due date: its own or one that it accepts instead.
        evenly: products to be shared evenly within a class, where there are not enough; precedence otherwise.
        acknowledged: customers who are sent too few a second bucket day running, and of whom the grower says yes to it.
    """

    trimmed: Mapping[LineDue, int] = field(default_factory=dict[LineDue, int])
    kinds: Mapping[LineDue, Product] = field(default_factory=dict[LineDue, Product])
    evenly: frozenset[str] = frozenset()
    acknowledged: frozenset[str] = frozenset()


AS_DRAFTED = Choices()


def bucket_line(line: DatedLine, sources: Sequence[Source], crops: Mapping[str, Crop]) -> BucketLine:
    """A line made of its stems: whole bunches by variety, what they leave over, and the cautions."""
    filled = sum(source.stems for source in sources)
    bunches = whole = 0
    by_product: dict[str, int] = {}
    for source in sources:
        by_product[source.product.variety] = by_product.get(source.product.variety, 0) + source.stems
    for variety, stems in by_product.items():
        size = crops[variety].bunch_stems
        bunches += stems // size
        whole += stems // size * size
    over = 0 if line.line_class is LineClass.WEDDING else filled - whole
    cautions = sorted({crops[variety].caution or "" for variety in by_product} - {""})
    return BucketLine(line, filled, bunches, over, tuple(sources), "; ".join(cautions) or None)


def with_spare(bucket: BucketLine, spare: int, sources: tuple[Source, ...]) -> BucketLine:
    """The line with its breakage allowance: the spare stems asked, and what there is of them."""
    return replace(bucket, spare=spare, spare_sources=sources)
