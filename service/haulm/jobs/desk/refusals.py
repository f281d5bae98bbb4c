"""Refusals that several use cases give, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Weekday
from haulm.language.words import _


class DayNotServed(HaulmError):
    """No cut day can serve the day stems leave."""

    code = "day-not-served"

    def __init__(self, *, due: date, would_serve: Sequence[Weekday]) -> None:
        days = _(" or ").join(day.full_name for day in would_serve)
        said = (
            _("No cut day can serve {due}: cut on {days} as well, or choose another day.")
            if days
            else _("No cut day can serve {due}: it keeps too short; choose another day.")
        )
        sentence = said.format(due=day_in_words(due), days=days)
        super().__init__(sentence, due=due.isoformat(), would_serve=[str(day) for day in would_serve])


class DatePassed(HaulmError):
    """A date lies before today."""

    code = "date-passed"

    def __init__(self, *, what: str, found: date, today: date) -> None:
        super().__init__(
            _("{what}: found {found}, which has passed; accepted is {today} or later.").format(
                what=what, found=day_in_words(found), today=day_in_words(today)
            ),
            what=what,
            found=str(found),
        )
