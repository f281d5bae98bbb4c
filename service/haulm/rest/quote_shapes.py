"""Quotes as they are sent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulm.jobs.desk.facts import facts_of
from haulm.jobs.promises.show_quote import QuoteSheet, QuoteSummary
from haulm.jobs.quotes.version import QuoteVersion, SheetLine
from haulm.rest.falls import FallShape, fall_shapes
from haulm.rest.place_shapes import PlacesShape, PriceShape, places_shape
from haulm.rest.wire import Shape

NOTES = [
    "Forecasts are estimates, not guarantees.",
    "Prices are the farm's own; deposits, contracts and tax follow local law.",
]


class HopedLineShape(Shape):
    """A kind hoped for in a line: stems on average, how likely any are, whether it would stand in for what is asked."""

    product: str
    name: str
    stems: int
    likelihood: float
    stands_in: bool


class QuotedLineShape(Shape):
    """One line of a quote: a role in colours, or a named kind; what is hoped for, what stands in, what is left out."""

    line: str
    wanted: str
    role: str | None
    product: str | None
    choice: str | None
    colours: list[str]
    pieces: list[str]
    stems: int
    spare: int
    free_to_promise: int
    hope_to_offer: int | None
    confidence: float
    certainty: str
    hoped_for: list[HopedLineShape]
    stand_in: str
    left_out: list[str]
    stage: str | None
    price_minor: int


class RoleStemsShape(Shape):
    """Stems of one role."""

    role: str
    stems: int


class QuotedPieceShape(Shape):
    """So many of one piece: its stems by role, its share of all stems, where it is worn or stands."""

    piece: str
    asked: str
    count: int
    roles: list[RoleStemsShape]
    stems_each: int
    stems: int
    share: float
    use: str
    minutes_each: int
    colours: list[str]


class CareShape(Shape):
    """What is to be minded of some kinds where the quote takes them: how bad, and sentences, the worst first."""

    kinds: list[str]
    severity: str
    sentences: list[str]


class KindToldShape(Shape):
    """A kind that does harm in some pieces: what is asked of the grower (`decided` is empty), or what she decided."""

    variety: str
    name: str
    use: str
    pieces: list[str]
    harm: str
    severity: str
    decided: str
    is_out: bool
    note: str
    sentence: str


class SaferSowingShape(Shape):
    """One batch that would have to be sown."""

    variety: str
    name: str
    method: str
    sow_date: str | None
    places: int
    bed: str | None


class SaferShape(Shape):
    """Sowings that would make the quote surer, proved by a re-match, and the price with their cost in it."""

    sowings: list[SaferSowingShape]
    decide_by: str
    order_confidence: float
    is_enough: bool
    cost_minor: int
    total_minor: int
    sentence: str


class OtherDateShape(Shape):
    """Another day in whole weeks, and how sure the same quote would be by the stems that are free then."""

    event_date: str
    due_date: str
    order_confidence: float


class SmallerPartShape(Shape):
    """A part of a quote of which fewer pass."""

    what: str
    asked: int
    passes: int


class LargestShape(Shape):
    """The largest size that is sure enough: what is smaller than asked, all else as asked; no parts where none is."""

    parts: list[SmallerPartShape]
    order_confidence: float
    sentence: str


class VersionShape(Shape):
    """One version of a quote."""

    number: int
    made_on: str
    event_date: str
    due_date: str
    valid_until: str
    palette: str
    colours: list[str]
    wishes: list[str]
    pieces: list[QuotedPieceShape]
    lines: list[QuotedLineShape]
    level: float
    order_confidence: float
    spare_percent: float
    own_arranging: bool
    dried_ok: bool
    no_substitute: bool
    stand_ins: bool
    unacceptable: list[str]
    price: PriceShape
    safer: SaferShape | None
    other_dates: list[OtherDateShape]
    largest: LargestShape | None
    remarks: list[str]
    cautions: list[str]
    take_care: list[CareShape]
    kinds: list[KindToldShape]
    homes: list[str]
    home_warnings: list[str]
    changed: list[str]
    places: PlacesShape | None


class QuoteShape(Shape):
    """A quote; nothing is held yet. Confidence is that of a hold made today.

    `price` is what all of it would come to, promised or not; what each place costs is in `places`.
    """

    id: str
    date: str
    due: str
    customer: str
    confidence_asked: float
    valid_until: str
    palette: str
    colours: list[str]
    wishes: list[str]
    pieces: list[QuotedPieceShape]
    lines: list[QuotedLineShape]
    stems: int
    spare: int
    order_confidence: float
    certainty: str
    delivery_minor: int
    price: PriceShape
    price_minor: int
    currency: str
    safer: SaferShape | None
    other_dates: list[OtherDateShape]
    largest: LargestShape | None
    remarks: list[str]
    cautions: list[str]
    take_care: list[CareShape]
    kinds: list[KindToldShape]
    homes: list[str]
    home_warnings: list[str]
    places: PlacesShape | None
    notes: list[str]


class StepShape(Shape):
    """One step in the life of a quote."""

    at_utc: str
    actor: str
    kind: str
    sentence: str
    entry: int


class RecheckShape(Shape):
    """What a recheck found."""

    on: str
    weeks_before: int
    order_confidence: float
    certainty: str
    fell: bool
    sentence: str


class DepositShape(Shape):
    """A deposit as it was written down."""

    amount_minor: int
    on: str


class QuoteLifeShape(Shape):
    """A quote with its whole life: the version that stands, those before it, each step, each recheck.

    `asked` are the kinds about which the grower has not decided yet; `is_behind`: she decided since, see `anew`.

    `figures` is what its steps rest on, in words; handed back as `seen` they let a 412 say what has changed.

    Of a hold: whether it could be contracted today, and what would fall below its floor if it were.
    """

    id: str
    customer: str
    kind: str
    status: str
    currency: str
    figures: dict[str, str]
    version: VersionShape
    versions: list[VersionShape]
    hold_until: str | None
    deposit: DepositShape | None
    final_numbers_date: str | None
    final_numbers_given: bool
    confidence_now: float | None
    certainty: str
    substitution_clause: str
    steps: list[StepShape]
    rechecks: list[RecheckShape]
    warnings: list[str]
    asked: list[KindToldShape]
    is_behind: bool
    could_be_contracted: bool | None
    contracting_would_lower: list[FallShape]
    notes: list[str]


class QuoteRowShape(Shape):
    """A quote in a list."""

    id: str
    customer: str
    kind: str
    status: str
    date: str
    due: str
    stems: int
    order_confidence: float | None
    price_minor: int | None
    hold_until: str | None
    final_numbers_date: str | None
    warnings: list[str]


class QuoteListShape(Shape):
    """Quotes, the earliest event first."""

    quotes: list[QuoteRowShape]


class ChangedShape(Shape):
    """A quote that was changed: its new version, and who is less sure for it where it holds stems."""

    id: str
    status: str
    version: VersionShape
    overridden: bool
    displaced: list[FallShape]
    falls: list[FallShape]


def line_shape(line: SheetLine) -> QuotedLineShape:
    """A line as it is sent."""
    return QuotedLineShape(**{**facts_of(line), "confidence": round(line.confidence, 6)})


def version_shape(version: QuoteVersion) -> VersionShape:
    """A version as it is sent."""
    sent: dict[str, Any] = {
        **facts_of(version),
        "order_confidence": round(version.order_confidence, 6),
        "lines": [line_shape(line) for line in version.lines],
        "places": places_shape(version.places),
    }
    return VersionShape(**sent)


def life_shape(sheet: QuoteSheet, figures: Mapping[str, str]) -> QuoteLifeShape:
    """A quote with its life as it is sent; the customer by key only."""
    now = sheet.confidence_now
    steps = [
        StepShape(at_utc=s.at_utc.isoformat(), actor=s.actor, kind=s.kind, sentence=s.sentence, entry=s.entry)
        for s in sheet.steps
    ]
    return QuoteLifeShape(
        id=sheet.number,
        customer=sheet.customer,
        kind=sheet.kind,
        status=sheet.status,
        currency=sheet.currency,
        figures=dict(figures),
        version=version_shape(sheet.version),
        versions=[version_shape(version) for version in sheet.versions],
        hold_until=facts_of(sheet.hold_until),
        deposit=None if sheet.deposit is None else DepositShape(**facts_of(sheet.deposit)),
        final_numbers_date=facts_of(sheet.final_numbers_date),
        final_numbers_given=sheet.final_numbers_given,
        confidence_now=None if now is None else round(now, 6),
        certainty=sheet.certainty,
        substitution_clause=sheet.substitution_clause,
        steps=steps,
        rechecks=[RecheckShape(**facts_of(recheck)) for recheck in sheet.rechecks],
        warnings=list(sheet.warnings),
        asked=[KindToldShape(**facts_of(kind)) for kind in sheet.asked],
        is_behind=sheet.is_behind,
        could_be_contracted=None if sheet.contract is None else sheet.contract.accepted,
        contracting_would_lower=[] if sheet.contract is None else fall_shapes(sheet.contract.falls),
        notes=list(sheet.notes),
    )


def row_shape(quote: QuoteSummary) -> QuoteRowShape:
    """A quote in a list as it is sent."""
    sure = quote.order_confidence
    return QuoteRowShape(
        id=quote.number,
        customer=quote.customer,
        kind=quote.kind,
        status=quote.status,
        date=quote.event_date.isoformat(),
        due=quote.due_date.isoformat(),
        stems=quote.stems,
        order_confidence=None if sure is None else round(sure, 6),
        price_minor=quote.total_minor,
        hold_until=facts_of(quote.hold_until),
        final_numbers_date=facts_of(quote.final_numbers_date),
        warnings=list(quote.warnings),
    )
