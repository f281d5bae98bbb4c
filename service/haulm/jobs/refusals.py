"""Refusals of the use cases, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.jobs.listed import Changed


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
        days = " or ".join(str(day) for day in others) or "none within six weeks"
        sentence = (
            f"Nothing asked for can be in season for {event}, whatever is sown now; nearest days that can: {days}."
        )
        super().__init__(sentence, date=str(event), other_dates=[str(day) for day in others])


class HoldExpired(HaulmError):
    """The hold of an order is over."""

    code = "hold-expired"

    def __init__(self, *, order: str, until: date) -> None:
        sentence = f"The hold of order '{order}' ended on {until}; hold it again, which asks the match anew."
        super().__init__(sentence, order=order, hold_until=str(until))


class NotABucketDay(HaulmError):
    """The date is not a bucket day of the farm."""

    code = "not-a-bucket-day"

    def __init__(self, *, found: date, accepted: str) -> None:
        super().__init__(f"Bucket list: found {found}, a {found:%A}; accepted is a {accepted}.", found=str(found))


class ListConfirmed(HaulmError):
    """The bucket list of that day has been confirmed already."""

    code = "list-confirmed"

    def __init__(self, *, day: date) -> None:
        super().__init__(f"The bucket list of {day} is confirmed; corrections are new entries.", day=str(day))


class ShortTwice(HaulmError):
    """Somebody would be sent too few stems two bucket days running."""

    code = "short-twice"

    def __init__(self, *, customers: tuple[str, ...]) -> None:
        super().__init__(
            f"{', '.join(customers)} got too few last time as well: ask them first, then say yes to it by name.",
            customers=list(customers),
        )


class SeenNotSaid(HaulmError):
    """What was seen is not said."""

    code = "seen-not-said"

    def __init__(self, *, what: str) -> None:
        super().__init__(f"{what}: say what was seen, as If-Match with the ETag of the draft.", what=what)


class DraftChanged(HaulmError):
    """The draft is not the one that was seen."""

    code = "draft-changed"

    def __init__(
        self,
        *,
        day: date,
        etag: str,
        changes: Sequence[Changed],
        deliveries: Mapping[tuple[str, date], str | None],
    ) -> None:
        sentence = f"The bucket list of {day} is not as it was seen: look at it again, and settle what it says now."
        named = [{"order": order, "due": str(due), "etag": tag} for (order, due), tag in deliveries.items()]
        facts = {"etag": etag, "changes": [one.facts for one in changes], "deliveries": named}
        super().__init__(sentence, day=day.isoformat(), **facts)
        self.changes = tuple(changes)


class NothingToSettle(HaulmError):
    """Nothing of the list can be settled."""

    code = "nothing-to-settle"

    def __init__(self, *, day: date, why: str) -> None:
        super().__init__(f"The bucket list of {day}: {why}.", day=day.isoformat())


class NotCutYet(HaulmError):
    """A delivery is expected until its last cut is written down."""

    code = "not-cut-yet"

    def __init__(self, *, order: str, due: date, last_cut: date) -> None:
        sentence = (
            f"What leaves for order '{order}' on {due} is expected until its cut of {last_cut} is written down, "
            "or until you say that no cut is made for it."
        )
        super().__init__(sentence, order=order, due=due.isoformat(), last_cut=last_cut.isoformat())


class ListFarAhead(HaulmError):
    """The list is of a day more than a week ahead."""

    code = "list-far-ahead"

    def __init__(self, *, day: date, today: date) -> None:
        sentence = f"The bucket list of {day} is {(day - today).days} days ahead: say once more that it is meant."
        super().__init__(sentence, day=day.isoformat(), today=today.isoformat())


class PartNotOffered(HaulmError):
    """A quote has no such part to promise, or not any more."""

    code = "part-not-offered"

    def __init__(self, *, order: str, part: str, why: str) -> None:
        super().__init__(f"Quote '{order}': {why}.", order=order, part=part)
