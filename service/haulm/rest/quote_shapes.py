"""Quotes as they are sent: derived from the value that is written down, and from what the jobs tell of it."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.advice.certainty import certainty
from haulm.jobs.promises.quote_wedding import Quote
from haulm.jobs.promises.show_quote import QuoteSheet, QuoteSummary
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.version import HopedFor, QuoteVersion
from haulm.rest.derived import Derived, old_name
from haulm.rest.falls import FallShape, fall_shapes
from haulm.rest.wire import Shape

NOTES = (
    "Forecasts are estimates, not guarantees.",
    "Prices are the farm's own; deposits, contracts and tax follow local law.",
)


class HopedLineShape(Derived, of=HopedFor):
    """A kind hoped for in a line: stems on average, how likely any are, whether it would stand in for what is asked."""


class PlacesShape(Derived, of=PlacesTold, only=("promised", "sown", "wish", "beyond")):
    """Where what is asked falls; what is beyond the field has no price. A place into which nothing falls is null."""


class VersionShape(Derived, of=QuoteVersion):
    """One version of a quote, as it is written down."""


class QuoteShape(VersionShape):
    """A quote: its first version, and for whom; nothing is held yet. Confidence is that of a hold made today.

    `price` is what all of it would come to, promised or not; what each place costs is in `places`.
    """

    id: str
    customer: str
    stems: int
    spare: int
    certainty: str
    currency: str
    notes: list[str]
    date: str = old_name("event_date")
    due: str = old_name("due_date")
    confidence_asked: float = old_name("level")
    delivery_minor: int = old_name("price.delivery_minor")
    price_minor: int = old_name("price.total_minor")


class QuoteLifeShape(
    Derived,
    of=QuoteSheet,
    only=(
        *("customer", "kind", "status", "currency", "version", "versions", "hold_until", "deposit"),
        *("final_numbers_date", "final_numbers_given", "confidence_now", "substitution_clause"),
        *("steps", "rechecks", "warnings", "asked", "is_behind", "notes"),
    ),
):
    """A quote with its whole life: the version that stands, those before it, each step, each recheck.

    `asked` are the kinds about which the grower has not decided yet; `is_behind`: she decided since, see `anew`.

    `figures` is what its steps rest on, in words; handed back as `seen` they let a 412 say what has changed.

    Of a hold: whether it could be contracted today, and what would fall below its floor if it were.
    """

    id: str
    certainty: str
    figures: dict[str, str]
    could_be_contracted: bool | None
    contracting_would_lower: list[FallShape]


class QuoteRowShape(
    Derived,
    of=QuoteSummary,
    only=(
        *("customer", "kind", "status", "event_date", "due_date", "stems", "order_confidence", "total_minor"),
        *("hold_until", "final_numbers_date", "warnings"),
    ),
):
    """A quote in a list."""

    id: str
    date: str = old_name("event_date")
    due: str = old_name("due_date")
    price_minor: int | None = old_name("total_minor")


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


def quote_shape(quote: Quote, currency: str) -> QuoteShape:
    """A quote that was just made as it is sent."""
    version = quote.version
    return QuoteShape.told(
        version,
        id=quote.order.key,
        customer=quote.order.customer,
        certainty=certainty(version.order_confidence),
        currency=currency,
        notes=NOTES,
        date=version.event_date.isoformat(),
        due=version.due_date.isoformat(),
        confidence_asked=version.level,
        delivery_minor=version.price.delivery_minor,
        price_minor=version.price.total_minor,
    )


def life_shape(sheet: QuoteSheet, figures: Mapping[str, str]) -> QuoteLifeShape:
    """A quote with its life as it is sent; the customer by key only."""
    return QuoteLifeShape.told(
        sheet,
        id=sheet.number,
        figures=figures,
        could_be_contracted=None if sheet.contract is None else sheet.contract.accepted,
        contracting_would_lower=[] if sheet.contract is None else fall_shapes(sheet.contract.falls),
    )


def row_shape(quote: QuoteSummary) -> QuoteRowShape:
    """A quote in a list as it is sent."""
    return QuoteRowShape.told(
        quote,
        id=quote.number,
        date=quote.event_date.isoformat(),
        due=quote.due_date.isoformat(),
        price_minor=quote.total_minor,
    )
