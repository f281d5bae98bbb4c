"""The shape of an earlier line, or delivery, that a promise makes less sure."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from haulm.advice.acceptance import Fall
from haulm.rest.wire import Shape


class FallShape(Shape):
    """An earlier line that a promise makes less sure: from what to what, and the floor that it keeps at least.

    Without a `line` it is the delivery as a whole: all that the order is due on that day.
    """

    line: str | None
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
            line=fall.what.line,
            order=fall.what.order,
            customer=fall.customer,
            due=fall.what.due.isoformat(),
            before=round(fall.before, 6),
            after=round(fall.after, 6),
            floor=round(fall.floor, 6),
        )
        for fall in falls
    ]
