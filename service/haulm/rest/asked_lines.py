"""The shape of a line of demand, which more than one answer shows."""

from __future__ import annotations

from typing import Any

from pydantic import Field

from haulm.demand.dated_line import DatedLine
from haulm.rest.wire import Shape


class AskedLineShape(Shape):
    """A line, whose it is, and what it asks by when."""

    line: str
    order: str
    customer: str
    line_class: str = Field(serialization_alias="class")
    product: str | None
    choice: str | None
    due: str


def asked_fields(line: DatedLine) -> dict[str, Any]:
    """The values of an `AskedLineShape`, by the names of its fields."""
    return {
        "line": line.line,
        "order": line.order,
        "customer": line.customer,
        "line_class": line.line_class,
        "product": None if line.product is None else str(line.product),
        "choice": None if line.choice is None else str(line.choice),
        "due": line.due.isoformat(),
    }
