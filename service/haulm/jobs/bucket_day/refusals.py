"""Refusals of bucket lists, each with the facts that say what to do next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from haulm.errors import HaulmError
from haulm.farm.weeks import day_in_words
from haulm.jobs.bucket_day.listed import LineChanged
from haulm.language.words import _


class NotABucketDay(HaulmError):
    """The date is not a bucket day of the farm."""

    code = "not-a-bucket-day"

    def __init__(self, *, found: date, accepted: str) -> None:
        super().__init__(
            _("Bucket list: found {found}; accepted is a {accepted}.").format(
                found=day_in_words(found), accepted=accepted
            ),
            found=str(found),
        )


class ListConfirmed(HaulmError):
    """The bucket list of that day has been confirmed already."""

    code = "list-confirmed"

    def __init__(self, *, day: date) -> None:
        super().__init__(
            _("The bucket list of {day} is confirmed; corrections are new entries.").format(day=day_in_words(day)),
            day=str(day),
        )


class ShortTwice(HaulmError):
    """Somebody would be sent too few stems two bucket days running."""

    code = "short-twice"

    def __init__(self, *, customers: tuple[str, ...]) -> None:
        super().__init__(
            _("{customers} got too few last time as well: ask them first, then say yes to it by name.").format(
                customers=", ".join(customers)
            ),
            customers=list(customers),
        )


class SeenNotSaid(HaulmError):
    """What was seen is not said."""

    code = "seen-not-said"

    def __init__(self, *, what: str) -> None:
        super().__init__(
            _("{what}: say what was seen, as If-Match with the ETag of the draft.").format(what=what), what=what
        )


class DraftChanged(HaulmError):
    """The draft is not the one that was seen."""

    code = "draft-changed"

    def __init__(
        self,
        *,
        day: date,
        etag: str,
        changes: Sequence[LineChanged],
        deliveries: Mapping[tuple[str, date], str | None],
    ) -> None:
        said = day_in_words(day)
        sentence = _(
            "The bucket list of {said} is not as it was seen: look at it again, and settle what it says now."
        ).format(said=said)
        named = [{"order": order, "due": str(due), "etag": tag} for (order, due), tag in deliveries.items()]
        facts = {"etag": etag, "changes": [one.facts for one in changes], "deliveries": named}
        super().__init__(sentence, day=day.isoformat(), **facts)
        self.changes = tuple(changes)


class NothingToSettle(HaulmError):
    """Nothing of the list can be settled."""

    code = "nothing-to-settle"

    def __init__(self, *, day: date, why: str) -> None:
        super().__init__(
            _("The bucket list of {day}: {why}.").format(day=day_in_words(day), why=why), day=day.isoformat()
        )


class NotCutYet(HaulmError):
    """A delivery is expected until its last cut is written down."""

    code = "not-cut-yet"

    def __init__(self, *, order: str, due: date, last_cut: date) -> None:
        leaves, cut = day_in_words(due), day_in_words(last_cut)
        sentence = _(
            "What leaves on {leaves} is expected until its cut of {cut} is written down, or until "
            "you say that no cut is made for it."
        ).format(leaves=leaves, cut=cut)
        super().__init__(sentence, order=order, due=due.isoformat(), last_cut=last_cut.isoformat())


class ListFarAhead(HaulmError):
    """The list is of a day more than a week ahead."""

    code = "list-far-ahead"

    def __init__(self, *, day: date, today: date) -> None:
        ahead = (day - today).days
        sentence = _("The bucket list of {day} is {ahead} days ahead: say once more that it is meant.").format(
            day=day_in_words(day), ahead=ahead
        )
        super().__init__(sentence, day=day.isoformat(), today=today.isoformat())
