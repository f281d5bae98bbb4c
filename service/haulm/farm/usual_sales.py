"""Usual sales: what is likely to be asked for though nobody has ordered it. Hoped for, never promised."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haulm.farm.products import Choice, Product
from haulm.farm.weeks import Week
from haulm.farm.words import UsualSource, Weekday
from haulm.language.words import _


@dataclass(frozen=True, slots=True)
class UsualSale:
    """Stems that somebody usually takes, each week of a season: last year's florist, the stall, a wish sheet.

    Attributes:
        key: the row's own key.
        source: where the hope comes from.
        stems: stems a week [stems].
        first_week, last_week: the weeks, both included.
        product: the product; None where a choice is hoped for.
        choice: what would do; None where it is one product.
        weekday: the day the stems would leave; None: the farm's bucket day.
        stem_price_minor: the usual price of a stem [minor units]; None: the price list's.
        customer: key of who usually takes them; None: nobody by name.
        note: anything else.
    """

    key: str
    source: UsualSource
    stems: int
    first_week: Week
    last_week: Week
    product: Product | None = None
    choice: Choice | None = None
    weekday: Weekday | None = None
    stem_price_minor: int | None = None
    customer: str | None = None
    note: str = ""


def usual_sale_complaints(row: UsualSale) -> Iterator[tuple[str, str, str]]:
    """Column, found and accepted of all that is wrong with a row alone."""
    if row.product is None and row.choice is None:
        yield "product", _("neither product nor choice"), _("a product or a choice")
    if row.product is not None and row.choice is not None:
        yield (
            "choice",
            _("product {product} and choice '{choice}'").format(product=row.product, choice=row.choice),
            _("a product or a choice, not both"),
        )
    if row.last_week < row.first_week:
        yield (
            "last_week",
            str(row.last_week),
            _("a week not before first_week {first_week}").format(first_week=row.first_week),
        )
