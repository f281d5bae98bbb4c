"""The dated line: one ask for stems on one due date, with its place in the strict order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.products import Choice, Product
from haulm.farm.words import LineClass, OrderPart


@dataclass(frozen=True, slots=True)
class DatedLine:
    """One line of demand.

    Attributes:
        line: key of the order line or standing line it comes from; with `due` and `is_spare` it is unique.
        order: key of the order or standing order.
        customer: key of the customer.
        due: the day the stems leave.
        stems: stems asked.
        line_class: its class; `class_rank` is the class's place in the farm's order, 0 first.
        committed_on: the day of the first hold or contract; date.max where nobody recorded one, which ranks last.
        product: the product asked, or None for a choice line.
        choice: what a choice line accepts, or None.
        minimum: fewer stems than this are not worth sending; 0 for no minimum.
        substitutes: products accepted instead, best first.
        stage: the cut stage asked, or None.
        min_length_cm: the least length asked [cm], 0 for any.
        max_each: for a choice line, the most stems of one product.
        max_age_days: the most days since cutting on the due date [d], or None.
        is_spare: the breakage allowance of a contracted line, a line of its own class.
        promised_confidence: the level it was promised at, or None.
        usual_level: the farm's level for what it is once contracted, 0-1.
        cut_only: whether its last cut was made, so that no standing stem can reach it any more.
        standing_only: whether it takes standing stems alone, and leaves the store to others.
        part: of an order in two parts, which of them it belongs to; else None.
    """

    line: str
    order: str
    customer: str
    due: date
    stems: int
    line_class: LineClass
    class_rank: int
    committed_on: date
    product: Product | None
    choice: Choice | None = None
    minimum: int = 0
    substitutes: tuple[Product, ...] = ()
    stage: str | None = None
    min_length_cm: int = 0
    max_each: int | None = None
    max_age_days: int | None = None
    is_spare: bool = False
    promised_confidence: float | None = None
    usual_level: float = 0.8
    cut_only: bool = False
    standing_only: bool = False
    part: OrderPart | None = None

    def __post_init__(self) -> None:
        assert (self.product is None) != (self.choice is None), "a line asks a product or a choice"
        assert 0 <= self.minimum <= self.stems, "a line's least is no more than what it asks"
        assert self.promised_confidence is None or not self.is_spare, "spare is no promise"

    def __hash__(self) -> int:
        return hash((self.line, self.due, self.is_spare))  # what makes it unique: lines are keys everywhere

    @property
    def level(self) -> float:
        """How sure it must be: the level it was promised at, else the farm's usual one, 0-1."""
        return self.usual_level if self.promised_confidence is None else self.promised_confidence

    def held_to(self, asked: float | None) -> float:
        """The level it is judged at, 0-1: the one that somebody asks of everything, else its own."""
        return self.level if asked is None else asked

    @property
    def precedence(self) -> tuple[int, date, date, str, str]:
        """Its place in the strict order: class, committed on, due, order key, line key (keys by code point)."""
        return (self.class_rank, self.committed_on, self.due, self.order, self.line)
