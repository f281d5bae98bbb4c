"""The shape of an earlier line that a promise makes less sure."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from haulm.advice.acceptance import Fall
from haulm.rest.wire import Shape


class FallShape(Shape):
    """An earlier line that a promise makes less sure: from what to what, and the level it keeps at least."""

    line: str
    order: str
    customer: str
    due: str
    before: float = Field(serialization_alias="from")
    after: float = Field(serialization_alias="to")
    floor: float


def fall_shapes(falls: Iterable[Fall]) -> list[FallShape]:
    """Falls as they are sent."""
    return [
        FallShape(
            line=fall.line.line,
            order=fall.line.order,
            customer=fall.line.customer,
            due=fall.line.due.isoformat(),
            before=round(fall.before, 6),
            after=round(fall.after, 6),
            floor=round(fall.floor, 6),
        )
        for fall in falls
    ]
