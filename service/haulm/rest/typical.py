"""The shapes of typical seasons: those that could happen, week by week."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.forecast.typical import TypicalSeason
from haulm.rest.wire import Shape


class TypicalWeekShape(Shape):
    """The stems of one week of a season that could happen."""

    week: str
    stems: int


class TypicalShape(Shape):
    """A season that could happen: `poor`, `middling` or `good`, its stems in all and by week."""

    name: str
    stems: int
    weeks: list[TypicalWeekShape]


def typical_shapes(found: Iterable[TypicalSeason]) -> list[TypicalShape]:
    """Typical seasons as they are sent."""
    return [
        TypicalShape(
            name=one.name,
            stems=one.stems,
            weeks=[TypicalWeekShape(week=str(week), stems=stems) for week, stems in one.weeks],
        )
        for one in found
    ]
