"""Refusals that several use cases give, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.errors import HaulmError


class DayNotServed(HaulmError):
    """No cut day can serve the day stems leave."""

    code = "day-not-served"

    def __init__(self, *, due: date, would_serve: Sequence[str]) -> None:
        remedy = (
            f"cut on {' or '.join(would_serve)} as well, or choose" if would_serve else "it keeps too short; choose"
        )
        sentence = f"No cut day can serve {due}, a {due:%A}: {remedy} another day."
        super().__init__(sentence, due=due.isoformat(), would_serve=list(would_serve))


class DatePassed(HaulmError):
    """A date lies before today."""

    code = "date-passed"

    def __init__(self, *, what: str, found: date, today: date) -> None:
        super().__init__(
            f"{what}: found {found}, which has passed; accepted is {today} or later.", what=what, found=str(found)
        )
