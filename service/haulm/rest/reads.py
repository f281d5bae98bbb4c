"""Reading parameters that more than one route takes."""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated

from fastapi import Query
from pydantic import BeforeValidator

from haulm.farm.products import Product
from haulm.farm.row_checks import DATE_SENTENCE, FIRST_DATE, LAST_DATE
from haulm.farm.weeks import Week

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def _day(given: object) -> object:
    """An ISO date and nothing else: the validation library would read a number as seconds since 1970."""
    if isinstance(given, str) and _DATE.fullmatch(given) is not None:
        try:
            day = dt.date.fromisoformat(given)
        except ValueError:
            pass
        else:
            if FIRST_DATE <= day <= LAST_DATE:
                return day
    raise ValueError(DATE_SENTENCE)


Day = Annotated[dt.date, BeforeValidator(_day)]

Confidence = Annotated[
    float | None, Query(gt=0, lt=1, description="How sure, as a share of the seasons; the farm's own unless said.")
]


def week_of(text: str | None, otherwise: Week) -> Week:
    """A week from a query, or another where none is given."""
    return otherwise if text is None else Week.parse(text, where="from")


def product_of(text: str | None) -> Product | None:
    """A product from a query, or None."""
    return None if text is None else Product.parse(text)
