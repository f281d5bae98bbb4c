"""What is asked with a quote, as it comes over the wire."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field, WithJsonSchema

from haulm.advice.pieces import PieceAsked
from haulm.errors import NotAccepted
from haulm.farm.limits import LONGEST_TEXT, MOST
from haulm.farm.orders import OrderLine
from haulm.farm.words import Home, OrderKind, OrderPart
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import within
from haulm.jobs.promises.quote_wedding import QuoteAsked
from haulm.rest.reads import Day
from haulm.rest.row_schemas import QUOTED_LINE, marked
from haulm.rest.seen import SeenAsk
from haulm.rest.wire import MOST_AT_ONCE, Ask, OverridingAsk

_PALETTE: dict[str, Any] = {
    "date": "2027-06-19",
    "palette": "soft whites with movement",
    "pieces": [{"piece": "bridal bouquet", "count": 1}, {"piece": "table jar", "count": 12}],
}
_QUOTE_EXAMPLES: list[Any] = [
    _PALETTE,
    {"date": "2027-06-19", "pieces": [{"piece": "bridal bouquet", "count": 1, "colours": ["white", "cream"]}]},
    {"date": "2027-06-19", "stand_ins": True, "lines": [{"product": "lagurus", "stems": 40}]},
    {"date": "2027-08-14", "customer": "anna", "kind": "one_off", "lines": [{"product": "lagurus", "stems": 40}]},
]
LineValues = Annotated[dict[str, Any], WithJsonSchema(marked(QUOTED_LINE))]
"""A line by the columns of order_lines.csv; its key and order are given when it is written."""


class PieceAsk(Ask):
    """So many of one piece; its colours, where they are not those of the palette."""

    piece: str = Field(max_length=LONGEST_TEXT)
    count: int = Field(ge=1, le=100_000)
    colours: tuple[str, ...] = Field(default=(), max_length=MOST_AT_ONCE)


class QuoteAsk(Ask):
    """Either pieces, turned into stems by the farm's recipes, or lines with the columns of order_lines.csv."""

    model_config = ConfigDict(json_schema_extra={"examples": _QUOTE_EXAMPLES})

    date: Day = Field(description="The day of the wedding or event.")
    due: Day | None = Field(default=None, description="The day the stems leave; two days before unless said.")
    customer: str | None = None
    kind: OrderKind = OrderKind.WEDDING
    confidence: float | None = Field(default=None, gt=0, lt=1)
    spare_percent: float | None = Field(default=None, ge=0, le=100, description="The farm's own unless said.")
    palette: str = Field(default="", max_length=LONGEST_TEXT, description="Such as 'soft whites with movement'.")
    own_arranging: bool = Field(default=False, description="The couple arranges: more spare, no labour.")
    dried_ok: bool = Field(default=False, description="Dried stems count.")
    no_substitute: bool = Field(default=False, description="Nothing may stand in for a role.")
    stand_ins: bool = Field(
        default=False,
        description="Kinds of the same role and palette may stand in for what lines ask; of pieces they may anyway.",
    )
    unacceptable: tuple[str, ...] = Field(default=(), max_length=MOST_AT_ONCE, description="Varieties not wanted.")
    homes: tuple[Home, ...] = Field(
        default=(), max_length=len(Home), description="Who lives in the home the flowers go to."
    )
    pieces: tuple[PieceAsk, ...] = Field(default=(), max_length=MOST_AT_ONCE)
    lines: tuple[LineValues, ...] = Field(default=(), max_length=MOST_AT_ONCE)


class ChangeAsk(QuoteAsk, OverridingAsk, SeenAsk):
    """All that is asked now; `override` changes in spite of a refusal, and that is written down."""

    model_config = ConfigDict(json_schema_extra={"examples": [_PALETTE]})


class AnewAsk(OverridingAsk, SeenAsk):
    """Who lives in the home the flowers go to, where that is other than before; everything else as it was asked."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"homes": ["cats"]}]})

    homes: tuple[Home, ...] | None = Field(default=None, max_length=len(Home))


class FinalNumbersAsk(OverridingAsk, SeenAsk):
    """The final counts of the pieces, all of them; everything else stays as it was agreed."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"pieces": [{"piece": "table jar", "count": 11}]}]})

    pieces: tuple[PieceAsk, ...] = Field(min_length=1, max_length=MOST_AT_ONCE)


class PartAsk(OverridingAsk, SeenAsk):
    """Which part of a quote is meant."""

    part: OrderPart | None = Field(
        default=None,
        description="stands: what may be promised today; sown: that with what is sown for it, which enters the plan. "
        "Without it, the order as it stands, and nothing is sown.",
    )
    confidence: float | None = Field(default=None, gt=0, lt=1)

    def single_part(self) -> OrderPart:
        """The part; it is promised at the level it was quoted at.

        Raises:
            NotAccepted: another level is asked as well.
        """
        assert self.part is not None, "asked of a part alone"
        if self.confidence is not None:
            accepted = "no confidence: a part is promised at the level it was quoted at"
            raise NotAccepted(where="confidence", found=f"{self.confidence:g} with part", accepted=accepted)
        return self.part


class HoldAsk(PartAsk):
    """Through which day to hold; `override` holds in spite of a refusal, and that is written down."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"until": "2027-08-01", "confidence": 0.8}]})

    until: Day


class ContractAsk(PartAsk):
    """How sure it has to be, and the deposit that was paid; `override` contracts in spite of a refusal.

    The override is written down, and so is the deposit: as a fact, no advice.
    """

    model_config = ConfigDict(json_schema_extra={"examples": [{"confidence": 0.8, "deposit_minor": 15000}]})

    deposit_minor: int | None = Field(default=None, ge=0, le=MOST, description="Minor units.")
    deposit_on: Day | None = Field(default=None, description="The day it was paid; today unless said.")


class CancelAsk(SeenAsk):
    """Why; the words stay in the journal, so no names."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"reason": "another venue"}]})

    reason: str = Field(default="", max_length=LONGEST_TEXT)


def asked_of(body: QuoteAsk) -> QuoteAsked:
    """What a body asks for."""
    return QuoteAsked(
        event_date=body.date,
        pieces=pieces_of(body.pieces),
        lines=tuple(_line(values, place) for place, values in enumerate(body.lines)),
        customer=body.customer,
        kind=body.kind,
        due_date=body.due,
        confidence=body.confidence,
        spare_percent=body.spare_percent,
        palette=body.palette,
        own_arranging=body.own_arranging,
        dried_ok=body.dried_ok,
        no_substitute=body.no_substitute,
        stand_ins=body.stand_ins,
        unacceptable=body.unacceptable,
        homes=body.homes,
    )


def pieces_of(pieces: tuple[PieceAsk, ...]) -> tuple[PieceAsked, ...]:
    """The pieces of a body."""
    return tuple(PieceAsked(p.piece, p.count, tuple(c.lower() for c in p.colours)) for p in pieces)


def _line(values: dict[str, Any], place: int) -> OrderLine:
    """A line of a quote; key and order are given when it is written."""
    with within("lines", place):
        line: OrderLine = row_from_values("order_lines", {**values, "key": "line", "order": "quote"})
    return line
