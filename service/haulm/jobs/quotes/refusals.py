"""Refusals of quotes, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.farm.weeks import day_in_words


class NotAQuote(HaulmError):
    """The order is not at a step from which this can be done."""

    code = "not-at-this-step"

    def __init__(self, *, order: str, status: str, step: str, accepted: str) -> None:
        super().__init__(
            f"Order '{order}' is {status}; to {step} it, it must be {accepted}.", order=order, status=status
        )


class NothingInSeason(HaulmError):
    """Nothing that was asked can be in season on the day."""

    code = "nothing-in-season"

    def __init__(self, *, event: date, others: Sequence[date]) -> None:
        days = " or ".join(map(day_in_words, others)) or "none within six weeks"
        start = f"Nothing asked for can be in season for {day_in_words(event)}, whatever is sown now"
        sentence = f"{start}; nearest days that can: {days}."
        super().__init__(sentence, date=str(event), other_dates=[str(day) for day in others])


class HoldExpired(HaulmError):
    """The hold of an order is over."""

    code = "hold-expired"

    def __init__(self, *, order: str, until: date) -> None:
        sentence = (
            f"The hold of order '{order}' ended on {day_in_words(until)}; hold it again, which asks the match anew."
        )
        super().__init__(sentence, order=order, hold_until=str(until))


class PartNotOffered(HaulmError):
    """A quote has no such part to promise, or not any more."""

    code = "part-not-offered"

    def __init__(self, *, order: str, part: str, why: str) -> None:
        super().__init__(f"Quote '{order}': {why}.", order=order, part=part)
