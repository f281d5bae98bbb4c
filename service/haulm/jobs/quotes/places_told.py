"""Where what a quote asks falls, as its version keeps it: promised today, sown for, a wish, beyond the field."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from haulm.advice.pieces import PieceAsked
from haulm.advice.quote_places import Places
from haulm.jobs.quotes.sheet_price import SheetPrice


@dataclass(frozen=True, slots=True)
class PlacePart:
    """So much of what was asked.

    Attributes:
        what: the piece, or what the line asks.
        count: how many pieces, or stems.
        stems: stems of all of them, without spare.
        is_piece: whether pieces are counted, or stems.
        likelihood: of a wish, weight of the seasons in which all of it comes beside what is promised, 0-1, for the
            grower alone; else None.
    """

    what: str
    count: int
    stems: int
    is_piece: bool
    likelihood: float | None = None


@dataclass(frozen=True, slots=True)
class PromisedPlace:
    """What may be promised today.

    Attributes:
        parts: what it is.
        order_confidence: of all its lines in the same season, were it held today, 0-1.
        price: what it costs.
        contract: what stood against a contract of it that day, with names, for the grower alone; empty where nothing.
    """

    parts: tuple[PlacePart, ...]
    order_confidence: float
    price: SheetPrice
    contract: str = ""


@dataclass(frozen=True, slots=True)
class PlaceSowing:
    """A batch that is sown for a quote once there is a yes, as it would stand in the plan.

    Attributes:
        variety, name: its kind.
        method, form: how it is sown, and what becomes of it.
        sow_date: the day that suits it best; of bought plants the one on which they are planted.
        places: places sown.
        trays, bed, metres: where it stands.
        said: what is sown or planted, and when, in words.
    """

    variety: str
    name: str
    method: str
    form: str
    sow_date: date
    places: int
    trays: float | None
    bed: str | None
    metres: float | None
    said: str = ""


@dataclass(frozen=True, slots=True)
class SownPlace:
    """What becomes a promise with a yes in time: nobody has sown for it yet.

    Attributes:
        parts: what comes to what is promised today.
        sowings: what is sown for it.
        sow_by: the last day on which that can be begun and still flowers in time.
        yes_by: the last day for a yes, so that the seed is there by then.
        order_confidence: of all lines of the larger part in the same season, were it held and sown for, 0-1.
        price: what the larger part costs, what is promised today and the seed in it.
        more_minor: by how much that is more than what is promised today [minor units].
        contract: what stood against a contract of both parts, as of what is promised today.
    """

    parts: tuple[PlacePart, ...]
    sowings: tuple[PlaceSowing, ...]
    sow_by: date
    yes_by: date
    order_confidence: float
    price: SheetPrice
    more_minor: int
    contract: str = ""


@dataclass(frozen=True, slots=True)
class WishPlace:
    """What may come and cannot be promised; nothing is kept for it, and it is in no total.

    Attributes:
        parts: what it is.
        told_on: the day on which the farm says whether it comes.
        more_minor: what it costs on top, should it come [minor units].
    """

    parts: tuple[PlacePart, ...]
    told_on: date
    more_minor: int


@dataclass(frozen=True, slots=True)
class PlacesTold:
    """Where what is asked falls; what is beyond the field has no price.

    Attributes:
        pieces: the pieces that were asked, or none.
        lines: the lines that were asked, as values of `order_lines.csv`, or none.
        counts: how many of each of these fall into which place.
        promised, sown, wish: the places; None where nothing falls into one.
        beyond: what is more than the field gives that day.
    """

    pieces: tuple[PieceAsked, ...]
    lines: tuple[dict[str, Any], ...]
    counts: Places
    promised: PromisedPlace | None = None
    sown: SownPlace | None = None
    wish: WishPlace | None = None
    beyond: tuple[PlacePart, ...] = field(default=())

    @property
    def is_all_promised(self) -> bool:
        """Whether everything asked may be promised today."""
        return not any((*self.counts.sown, *self.counts.wished, *self.counts.beyond))
