"""GET /v1/bucket-lists/{date}/prices: what a confirmed list costs, line by line, with every credit by its name."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from fastapi import APIRouter
from pydantic import Field

from haulm.jobs.bucket_day.list_prices import ListTerms, PricedLine
from haulm.rest.reads import Day
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["bucket lists"])


class SumsShape(Shape):
    """Sums in minor units: `agreed - short - stand_in - claimed = due`."""

    agreed_minor: int = Field(description="What all that was asked was agreed at.")
    short_minor: int = Field(description="Credit for stems that did not come.")
    stand_in_minor: int = Field(description="Credit where a stand-in costs less than what was asked.")
    claimed_minor: int = Field(description="Credit for what was claimed.")
    due_minor: int = Field(description="What is left to pay.")


class PricedLineShape(SumsShape):
    """One line: its terms when the list was confirmed, and its sums; `sent` counts spare in, after corrections."""

    line: str
    due: str
    asked: int
    spare: int
    sent: int
    bunch_price_minor: int
    bunch_stems: int
    whole_price_minor: int | None = Field(description="One price for the whole line, which outranks that of a bunch.")


class PricedCustomerShape(SumsShape):
    """The lines of one customer and their sums."""

    customer: str
    lines: list[PricedLineShape]


class ListPricesShape(Shape):
    """The prices of a confirmed list, stems only: no delivery, no tax."""

    date: str
    currency: str
    customers: list[PricedCustomerShape]


@router.get("/v1/bucket-lists/{day}/prices", dependencies=[only_for(Audience.OWNER)])
def prices(desk: TheDesk, day: Day) -> ListPricesShape:
    """What the stems of a confirmed list cost: as agreed, less what was short, cheaper or claimed."""
    lines = tuple(ListTerms(desk, day).lines())
    by_customer = groupby(lines, key=lambda line: line.customer)
    return ListPricesShape(
        date=day.isoformat(),
        currency=desk.store.farm().site.currency,
        customers=[_customer(customer, tuple(found)) for customer, found in by_customer],
    )


def _customer(customer: str, lines: Sequence[PricedLine]) -> PricedCustomerShape:
    shown = [_line(line) for line in lines]
    return PricedCustomerShape(
        customer=customer,
        lines=shown,
        **{name: sum(getattr(line, name) for line in shown) for name in SumsShape.model_fields},
    )


def _line(found: PricedLine) -> PricedLineShape:
    terms, price = found.terms, found.price
    return PricedLineShape(
        line=found.line,
        due=found.due.isoformat(),
        asked=terms.stems,
        spare=terms.spare,
        sent=found.sent,
        bunch_price_minor=terms.bunch.minor,
        bunch_stems=terms.bunch.stems,
        whole_price_minor=terms.whole_minor,
        agreed_minor=price.agreed_minor,
        short_minor=price.short_minor,
        stand_in_minor=price.stand_in_minor,
        claimed_minor=price.claimed_minor,
        due_minor=price.due_minor,
    )
