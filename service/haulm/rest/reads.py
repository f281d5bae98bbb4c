"""Reading parameters that more than one route takes."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query

from haulm.farm.products import Product
from haulm.farm.weeks import Week

Confidence = Annotated[
    float | None, Query(gt=0, lt=1, description="How sure, as a share of the seasons; the farm's own unless said.")
]


def week_of(text: str | None, otherwise: Week) -> Week:
    """A week from a query, or another where none is given."""
    return otherwise if text is None else Week.parse(text, where="from")


def product_of(text: str | None) -> Product | None:
    """A product from a query, or None."""
    return None if text is None else Product.parse(text)
