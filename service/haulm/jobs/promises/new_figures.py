"""What new figures of a release took from promises: told to the grower once, in one list, and to no customer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.advice.floors import Guarded, Sure
from haulm.farm.quantities import percents
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import guarded_in
from haulm.jobs.promises.follow_floors import NEW_FIGURES
from haulm.jobs.quotes.promise_refused import customer_in_words, line_in_words
from haulm.language.words import _, one_or_more
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork

LOOKED_AT = "figures-looked-at"


@dataclass(frozen=True, slots=True)
class Lowered:
    """A promise that is less sure since the figures are new.

    Attributes:
        line: the line; None for a delivery as a whole.
        order, due: whose delivery.
        before, after: how sure it was with the old figures and with the new, 0-1.
        customer, what, day, was, now: the same in words.
    """

    line: str | None
    order: str
    due: date
    before: float
    after: float
    customer: str
    what: str
    day: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class NewFigures:
    """What new figures took.

    Attributes:
        model: the number of the model that gives them; None where they were never new.
        lowered: what is less sure for them and still due, by due date.
        is_looked_at: whether the grower has said that it was looked at.
    """

    model: int | None
    lowered: tuple[Lowered, ...]
    is_looked_at: bool

    @property
    def sentence(self) -> str | None:
        """The line for the grower; None where there is nothing to look at."""
        count = len(self.lowered)
        if self.is_looked_at or not count:
            return None
        return one_or_more(
            "The forecast has new figures since the last upgrade: {count} promise is less sure. No customer was told.",
            "The forecast has new figures since the last upgrade: {count} promises are less sure. "
            "No customer was told.",
            count,
        ).format(count=count)


def see_new_figures(desk: Desk) -> NewFigures:
    """What the latest new figures took, and those before them that nobody has looked at yet."""
    entries = desk.store.entries_of(NEW_FIGURES, LOOKED_AT)
    figures = [entry for entry in entries if entry.kind == NEW_FIGURES]
    if not figures:
        return NewFigures(None, (), is_looked_at=True)
    looked = max((entry.seq for entry in entries if entry.kind == LOOKED_AT), default=0)
    unseen = [entry for entry in figures if entry.seq > looked]
    falls: dict[Guarded, tuple[float, float]] = {}
    for entry in unseen or figures[-1:]:
        for fall in entry.facts["lowered"]:
            what = guarded_in(fall, fall["order"])
            falls[what] = (falls.get(what, (fall["from"], 0.0))[0], fall["to"])
    lowered = tuple(sorted(_lowered(desk.plan(), falls), key=lambda one: (one.due, one.order, one.line or "")))
    return NewFigures(int(figures[-1].facts["is"]), lowered, not unseen)


def look_at_new_figures(desk: Desk, work: UnitOfWork) -> None:
    """Write down that the grower has looked at what new figures took; nothing where there is nothing new."""
    entries = work.entries_of(NEW_FIGURES, LOOKED_AT)
    if entries and entries[-1].kind == NEW_FIGURES:
        work.enter(LOOKED_AT, "farm", {"on": desk.today().isoformat()})


def _lowered(plan: Plan, falls: dict[Guarded, tuple[float, float]]) -> Iterator[Lowered]:
    for what, (before, after) in falls.items():
        if what in plan.moment.sure:
            yield _in_words(plan, plan.moment.sure[what], before, after)


def _in_words(plan: Plan, sure: Sure, before: float, after: float) -> Lowered:
    what, first = sure.what, sure.lines[0]
    asked = (
        line_in_words(first, plan)
        if what.line is not None
        else _("all {lines} lines together").format(lines=len(sure.lines))
    )
    customer, day = customer_in_words(first.customer, plan), day_in_words(what.due)
    return Lowered(what.line, what.order, what.due, before, after, customer, asked, day, *percents(before, after))
