"""Refusals that several use cases give, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Weekday


class DayNotServed(HaulmError):
    """No cut day can serve the day stems leave."""

    code = "day-not-served"

    def __init__(self, *, due: date, would_serve: Sequence[Weekday]) -> None:
        days = " or ".join(day.full_name for day in would_serve)
        remedy = f"cut on {days} as well, or choose" if days else "it keeps too short; choose"
        sentence = f"No cut day can serve {day_in_words(due)}: {remedy} another day."
        super().__init__(sentence, due=due.isoformat(), would_serve=[str(day) for day in would_serve])


class DatePassed(HaulmError):
    """A date lies before today."""

    code = "date-passed"

    def __init__(self, *, what: str, found: date, today: date) -> None:
        super().__init__(
            f"{what}: found {day_in_words(found)}, which has passed; accepted is {day_in_words(today)} or later.",
            what=what,
            found=str(found),
        )
