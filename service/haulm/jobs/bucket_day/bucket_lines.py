"""A bucket list in the making: its lines, what the grower decides of them, and one line made of its stems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from haulm.advice.even_share import Share
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, LineClass
from haulm.matching.reading.which_stems import Source
from haulm.matching.supply import Lot

LineDue = tuple[str, date]
"""A line's key and the day its stems leave."""
DeliveryKey = tuple[str, date]
"""An order's key and the day its stems leave: one delivery."""


@dataclass(frozen=True, slots=True)
class BucketLine:
    """One line that is expected: what was asked, what there is for it, and how it would go out.

    Attributes:
        line: the dated line.
        filled: stems there are for it, from `sources`: in a careful season, or in the store once its last cut is made.
        bunches: whole bunches that go out; stems sold by the stem (weddings) go out as they are.
        over: stems that whole bunches leave behind.
        caution: what to take care of, or None.
        share: the working of an even share, where the grower chose one.
        spare: stems of its breakage allowance asked; what there is for it, `spare_sources`, goes with it loose.
        yours: stems that are the customer's; they become fewer only by a record that makes them impossible.
        up_to: stems it may become, no fewer.
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
    yours: int = 0
    up_to: int = 0

    @property
    def delivery(self) -> DeliveryKey:
        """The delivery it is part of."""
        return self.line.order, self.line.due


@dataclass(frozen=True, slots=True)
class Delivery:
    """What leaves for one order on one day, while it is expected.

    Attributes:
        order, due, customer: which.
        last_cut: the last day on which stems are cut for it; None where nothing is cut for it.
        can_settle: whether that cut is recorded, nothing has to be cut, or the grower says that no cut is made.
    """

    order: str
    due: date
    customer: str
    last_cut: date | None
    can_settle: bool

    @property
    def key(self) -> DeliveryKey:
        """Its order and day."""
        return self.order, self.due


@dataclass(frozen=True, slots=True)
class BucketList:
    """The lines that are expected from a bucket day to the day before the next, and their deliveries by due date."""

    day: date
    last: date
    lines: tuple[BucketLine, ...]
    deliveries: tuple[Delivery, ...] = ()

    @property
    def can_settle(self) -> frozenset[DeliveryKey]:
        """The deliveries that can be settled."""
        return frozenset(found.key for found in self.deliveries if found.can_settle)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What the grower decides of a list; nothing decided leaves it as drafted.

    Attributes:
        trimmed: stems to send, by line and due date; fewer than there are, or none.
        kinds: the one product that fills a line, by line and due date: its own or one that it accepts instead.
        evenly: products to be shared evenly within a class, where there are not enough; precedence otherwise.
            None: those that the grower said of this list before.
        acknowledged: customers who are sent too few a second bucket day running, and of whom the grower says yes to it.
        no_cut: deliveries for which nothing more is cut, by the grower's word: they get what is in the store.
    """

    trimmed: Mapping[LineDue, int] = field(default_factory=dict[LineDue, int])
    kinds: Mapping[LineDue, Product] = field(default_factory=dict[LineDue, Product])
    evenly: frozenset[str] | None = None
    acknowledged: frozenset[str] = frozenset()
    no_cut: frozenset[DeliveryKey] = frozenset()


AS_DRAFTED = Choices()


def bucket_line(line: DatedLine, sources: Sequence[Source], crops: Mapping[str, Crop]) -> BucketLine:
    """A line made of its stems: whole bunches by variety, what they leave over, and the cautions."""
    by_product: dict[str, int] = {}
    for source in sources:
        by_product[source.product.variety] = by_product.get(source.product.variety, 0) + source.stems
    filled = sum(by_product.values())
    bunches, over = bunched(by_product, crops, is_loose=line.line_class is LineClass.WEDDING)
    cautions = sorted({crops[variety].caution or "" for variety in by_product} - {""})
    return BucketLine(line, filled, bunches, over, tuple(sources), "; ".join(cautions) or None)


def bunched(by_variety: Mapping[str, int], crops: Mapping[str, Crop], *, is_loose: bool) -> tuple[int, int]:
    """Whole bunches of stems, each of one variety, and the stems they leave over; none where all of it goes loose."""
    bunches = sum(stems // crops[variety].bunch_stems for variety, stems in by_variety.items())
    over = sum(stems % crops[variety].bunch_stems for variety, stems in by_variety.items())
    return bunches, 0 if is_loose else over


def with_sources(bucket: BucketLine, sources: Sequence[Source], crops: Mapping[str, Crop]) -> BucketLine:
    """The line with other stems; its spare, share and what it may become stay."""
    made = bucket_line(bucket.line, sources, crops)
    return replace(
        made,
        spare=bucket.spare,
        spare_sources=bucket.spare_sources,
        share=bucket.share,
        yours=bucket.yours,
        up_to=bucket.up_to,
    )


def with_spare(bucket: BucketLine, spare: int, sources: tuple[Source, ...]) -> BucketLine:
    """The line with its breakage allowance: the spare stems asked, and what there is of them."""
    return replace(bucket, spare=spare, spare_sources=sources)


def is_in_store(source: Source) -> bool:
    """Whether stems are cut or dried, and so in the cool store; the others stand in the field."""
    return source.lot.cut is not None or source.product.form is Form.DRIED


def merged(sources: Sequence[Source]) -> list[Source]:
    """The sources with each lot once: a line is sent what it gets of a lot in one piece."""
    found: dict[tuple[str, int, Lot], Source] = {}
    for source in sources:
        same = (str(source.product), source.length_cm, source.lot)
        before = found[same].stems if same in found else 0
        found[same] = replace(source, stems=before + source.stems)
    return list(found.values())
