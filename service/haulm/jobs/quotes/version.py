"""One version of a quote as it was written: pieces, lines, certainty, price; kept whole as the facts of an entry."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from haulm.farm.hazards import Severity
from haulm.farm.warnings import Warned
from haulm.jobs.desk.facts import value_of
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.store.journal import Entry

VERSION_KINDS = ("quoted", "quote-changed", "final-numbers")
"""The kinds of entries that hold a version."""


@dataclass(frozen=True, slots=True)
class RoleStems:
    """Stems of one role."""

    role: str
    stems: int


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """So many of one piece.

    Attributes:
        piece: the piece whose recipe was taken.
        asked: the word that was used for it.
        count: how many.
        roles: stems of one piece by role.
        stems_each: stems of one piece.
        stems: stems of all of them, without spare.
        share: their share of all stems of the quote, 0-1.
        use: `worn` (held or worn on the skin), `table` (near food), `set up` or `food` (on or beside it).
        minutes_each: minutes of making one piece; 0 where the couple arranges or no hour has a price.
        colours: the colours asked for it; none for those of the palette.
    """

    piece: str
    asked: str
    count: int
    roles: tuple[RoleStems, ...]
    stems_each: int
    stems: int
    share: float
    use: str
    minutes_each: int
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KindTold:
    """A kind that does harm in some pieces, or that the grower decided about: what she is asked, what she decided.

    Attributes:
        variety: its key.
        name: its name.
        use: `worn` or `table`.
        pieces: the pieces it is about.
        harm: the harm that matters there, the worst first, in words; empty where only she said so.
        severity: `dangerous` or `harmful`; empty where there is no such harm.
        decided: `use` or `keep_out`; empty: she is asked.
        is_out: whether the kind stays out of these pieces.
        note: her note on the decision.
        sentence: all that in words.
    """

    variety: str
    name: str
    use: str
    pieces: tuple[str, ...]
    harm: str
    severity: str
    decided: str
    is_out: bool
    note: str
    sentence: str


@dataclass(frozen=True, slots=True)
class HopedFor:
    """A kind that is hoped for in a line.

    Attributes:
        product: its key.
        name: its name.
        stems: stems that are free for the line on average, no more than it asks.
        likelihood: weight of the seasons in which any are, 0-1.
        stands_in: whether it would stand in for what the line asks.
    """

    product: str
    name: str
    stems: int
    likelihood: float
    stands_in: bool = False


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a quote: a role in colours, or a named kind.

    Attributes:
        line: its key.
        wanted: what it asks, in words (`accent in white or cream`, or the name of a kind).
        role: the role asked, or None for a named kind.
        product: the named kind, or None.
        choice: the choice as the farm folder writes it, or None.
        colours: the colours asked, none for any.
        pieces: the pieces it is for.
        stems: stems, without spare.
        spare: spare for breakage; below one-off orders, and not part of the confidence.
        free_to_promise: stems the line could be given at the level after the lines before it in the quote, nobody else
            losing one: as many are sure enough.
        confidence: how sure the line is, were it held on the day it was quoted, 0-1.
        certainty: that in words.
        hoped_for: kinds hoped for, those with most stems first; after them the kinds that would stand in.
        stand_in: what would stand in, in a sentence; empty where nothing needs to.
        left_out: kinds left out for the use of the pieces, by name.
        stage: the cut stage the colour depends on, or None.
        price_minor: stems and spare [minor units].
        hope_to_offer: as `free_to_promise` at the level of hope, no less; None where it was not worked out.
    """

    line: str
    wanted: str
    role: str | None
    product: str | None
    choice: str | None
    colours: tuple[str, ...]
    pieces: tuple[str, ...]
    stems: int
    spare: int
    free_to_promise: int
    confidence: float
    certainty: str
    hoped_for: tuple[HopedFor, ...]
    stand_in: str
    left_out: tuple[str, ...]
    stage: str | None
    price_minor: int
    hope_to_offer: int | None = None


@dataclass(frozen=True, slots=True)
class SaferSowing:
    """One batch that would have to be sown, beside those that are planned."""

    variety: str
    name: str
    method: str
    sow_date: date | None
    places: int
    bed: str | None


@dataclass(frozen=True, slots=True)
class Safer:
    """Sowings that would make the quote surer, proved by a re-match with them.

    Attributes:
        sowings: what would be sown.
        decide_by: the last day on which all of them can still be made.
        order_confidence: how sure the whole order would be, 0-1.
        is_enough: whether that reaches the level asked.
        cost_minor: what the seed costs [minor units].
        total_minor: the price with that cost in it, tax included [minor units].
        sentence: all that in words.
    """

    sowings: tuple[SaferSowing, ...]
    decide_by: date
    order_confidence: float
    is_enough: bool
    cost_minor: int
    total_minor: int
    sentence: str


@dataclass(frozen=True, slots=True)
class OtherDate:
    """Another day of the event, in whole weeks from the one asked, and how sure the same quote would be."""

    event_date: date
    due_date: date
    order_confidence: float


@dataclass(frozen=True, slots=True)
class SmallerPart:
    """A part of a quote of which fewer are sure enough.

    Attributes:
        what: the piece, or what the line asks.
        asked: how many were asked.
        passes: how many of them are sure enough.
    """

    what: str
    asked: int
    passes: int


@dataclass(frozen=True, slots=True)
class Largest:
    """The largest size of a quote that was found sure enough.

    Attributes:
        parts: what is smaller than asked, all else as asked; empty where no smaller size is sure enough.
        order_confidence: of all lines of that size in the same season, 0-1; nought where there is none.
        sentence: all that in words.
    """

    parts: tuple[SmallerPart, ...]
    order_confidence: float
    sentence: str


@dataclass(frozen=True, slots=True)
class CareTold:
    """What is to be minded of some kinds where a quote takes them.

    Attributes:
        kinds: their names.
        severity: `dangerous`, `harmful` or `mild`.
        sentences: the worst first: what it does, and what to do about it.
    """

    kinds: tuple[str, ...]
    severity: str
    sentences: tuple[str, ...]

    @property
    def warned(self) -> Warned:
        """The same as it stands on pages and papers."""
        return Warned(self.kinds, Severity[self.severity.upper()], self.sentences)


@dataclass(frozen=True, slots=True)
class QuoteVersion:
    """A quote as it was made, or as it was changed to.

    Attributes:
        number: 1 for the first, and one more with every change.
        made_on: the farm's day on which it was written.
        event_date: the day of the wedding or event.
        due_date: the day the stems leave.
        valid_until: through which day the offer stands.
        palette: the palette in the couple's words, or empty.
        colours: the colours it was taken for.
        wishes: roles that were wished for, such as movement.
        pieces: the pieces; empty where lines were asked.
        lines: the lines.
        level: the confidence asked, 0-1.
        order_confidence: that of all lines in the same season, 0-1.
        spare_percent: the spare on pieces [%].
        own_arranging: whether the couple arranges themselves.
        dried_ok: whether dried stems count.
        no_substitute: whether nothing may stand in.
        stand_ins: whether kinds of role and palette may stand in for what lines ask; of pieces they may anyway.
        unacceptable: keys of kinds the customer will not take.
        price: what it costs.
        safer: sowings that would make it surer, or None.
        other_dates: nearer or safer days, where this one is not sure enough.
        largest: the largest size that is sure enough, or None where what is asked is.
        remarks: what the grower and the couple should know, in sentences.
        cautions: what is to be minded of every kind that may come, a line each, the worst first.
        take_care: the same in its parts; none in a version from before it was told by where the kinds go.
        kinds: kinds that do harm in some pieces, the worst first: what is asked of the grower, what she decided.
        homes: who lives in the home the flowers go to: `cats`, `dogs`, `children`.
        home_warnings: the kinds that can hurt them, a line each, the worst first.
        changed: what changed since the version before, in sentences.
        places: where what was asked falls: promised, sown for, a wish, beyond the field; None where nobody looked.
    """

    number: int
    made_on: date
    event_date: date
    due_date: date
    valid_until: date
    palette: str
    colours: tuple[str, ...]
    wishes: tuple[str, ...]
    pieces: tuple[SheetPiece, ...]
    lines: tuple[SheetLine, ...]
    level: float
    order_confidence: float
    spare_percent: float
    own_arranging: bool
    dried_ok: bool
    no_substitute: bool
    unacceptable: tuple[str, ...]
    price: SheetPrice
    safer: Safer | None = None
    other_dates: tuple[OtherDate, ...] = ()
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    stand_ins: bool = False
    largest: Largest | None = None
    kinds: tuple[KindTold, ...] = ()
    homes: tuple[str, ...] = ()
    home_warnings: tuple[str, ...] = ()
    take_care: tuple[CareTold, ...] = ()
    places: PlacesTold | None = None

    @property
    def offered(self) -> SheetPrice | None:
        """The price of what may be promised today; None where nothing may be."""
        if self.places is None:
            return self.price
        return None if self.places.promised is None else self.places.promised.price

    @property
    def stems(self) -> int:
        """All stems, without spare."""
        return sum(line.stems for line in self.lines)

    @property
    def spare(self) -> int:
        """All spare."""
        return sum(line.spare for line in self.lines)


def versions_of(entries: Iterable[Entry]) -> tuple[QuoteVersion, ...]:
    """The versions that entries hold, the first first."""
    kept = (entry.facts["version"] for entry in entries if entry.kind in VERSION_KINDS and "version" in entry.facts)
    return tuple(value_of(QuoteVersion, facts) for facts in kept)
