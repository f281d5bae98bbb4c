"""Refusals of quotes, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.farm.weeks import day_in_words
from haulm.language.words import _


class NotAQuote(HaulmError):
    """The order is not at a step from which this can be done."""

    code = "not-at-this-step"

    def __init__(self, *, order: str, status: str, step: str, accepted: str) -> None:
        super().__init__(
            _("Order '{order}' is {status}; to {step} it, it must be {accepted}.").format(
                order=order, status=status, step=step, accepted=accepted
            ),
            order=order,
            status=status,
        )


class NothingInSeason(HaulmError):
    """Nothing that was asked can be in season on the day."""

    code = "nothing-in-season"

    def __init__(self, *, event: date, others: Sequence[date]) -> None:
        days = _(" or ").join(map(day_in_words, others)) or _("none within six weeks")
        sentence = _(
            "Nothing asked for can be in season for {event}, whatever is sown now; nearest days that can: {days}."
        ).format(event=day_in_words(event), days=days)
        super().__init__(sentence, date=str(event), other_dates=[str(day) for day in others])


class HoldExpired(HaulmError):
    """The hold of an order is over."""

    code = "hold-expired"

    def __init__(self, *, order: str, until: date) -> None:
        sentence = _("The hold of order '{order}' ended on {until}; hold it again, which asks the match anew.").format(
            order=order, until=day_in_words(until)
        )
        super().__init__(sentence, order=order, hold_until=str(until))


class PartNotOffered(HaulmError):
    """A quote has no such part to promise, or not any more."""

    code = "part-not-offered"

    def __init__(self, *, order: str, part: str, why: str) -> None:
        super().__init__(_("Quote '{order}': {why}.").format(order=order, why=why), order=order, part=part)
