"""A gap as an option looks at it: what is short, what counts as closed or helped, until when somebody can be asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.asked_words import named
from haulm.advice.options.candidates import last_work_day
from haulm.advice.options.option import Proof, Worth
from haulm.advice.options.worth import Gains
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.quantities import percents
from haulm.farm.site import Site
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

HELPS = 0.5
"""What does not close a gap is worth telling if it halves the stems that it lacks."""
USUAL_NOTICE_DAYS = 2

Changes = Mapping[DatedLine, DatedLine | None]
"""Lines and what would stand in their place; None where a line would ask nothing."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What a re-match says: the gap's lines, and the other lines that would fall below what they must keep."""

    proof: Proof
    falls: tuple[DatedLine, ...] = ()


ProveLines = Callable[[Changes], Trial]


@dataclass(frozen=True)
class Situation:
    """What every option of one gap needs to know.

    Attributes:
        gap: the gap.
        before: the gap as it is.
        today: no option lies before it.
        notice_days: days before the due date by which each customer wants to hear [d].
        names: of varieties, by key.
        people: names of customers, by key.
        prices: the price of a stem of each line, in the order of the gap [minor units].
        site: the farm's working days, and what an hour costs.
    """

    gap: Gap
    before: Proof
    today: date
    notice_days: Mapping[str, int]
    names: Mapping[str, str]
    people: Mapping[str, str]
    prices: tuple[float, ...]
    site: Site

    @property
    def lines(self) -> tuple[DatedLine, ...]:
        """The short lines, by due date."""
        return tuple(short.line for short in self.gap.shortfalls)

    def closes(self, proof: Proof) -> bool:
        """Whether every line reaches its level."""
        return proof.reaches(self.gap.levels)

    def is_worth_telling(self, proof: Proof) -> bool:
        """Whether the gap closes, or lacks no more than half the stems."""
        return self.closes(proof) or proof.missing <= HELPS * self.before.missing

    def ask_by(self, lines: Iterable[DatedLine]) -> date:
        """The last working day on which all customers of some lines can still be asked."""
        return self.work_day(min(line.due - timedelta(days=self.notice(line)) for line in lines))

    def work_day(self, day: date) -> date:
        """The last working day up to a day; the day itself where that would have passed already."""
        found = last_work_day(self.site, day)
        return day if found < self.today <= day else found

    def notice(self, line: DatedLine) -> int:
        """Days before the due date by which a line's customer wants to hear [d]."""
        return self.notice_days.get(line.customer, USUAL_NOTICE_DAYS)

    def name(self, product: Product) -> str:
        """A product for people."""
        return named(product, self.names)

    def person(self, line: DatedLine) -> str:
        """A line's customer by name."""
        return self.people.get(line.customer, line.customer)

    def said_lines(self, lines: Iterable[DatedLine]) -> str:
        """Lines for people: whose, and due when."""
        dues: dict[str, list[str]] = {}
        for line in sorted(lines, key=lambda line: (self.person(line), line.due)):
            days = dues.setdefault(self.person(line), [])
            if day_in_words(line.due) not in days:
                days.append(day_in_words(line.due))
        return ", ".join(f"{person} ({', '.join(days)})" for person, days in dues.items())

    @property
    def price(self) -> float:
        """The price of a stem on the mean of what is asked [minor units]."""
        return self._gains.price

    @property
    def _gains(self) -> Gains:
        return Gains(tuple(line.stems for line in self.lines), self.prices, self.before, self.site.costs.stem_bought)

    def worth(self, proof: Proof, hours: float = 0.0, *, spent: float = 0.0) -> Worth:
        """What a way that takes no bed is worth, with the hours [h] and the money [minor units] that it takes."""
        return self._gains.worth(proof, spent=spent, work=hours * (self.site.costs.work_minor_per_hour or 0))

    @property
    def asked(self) -> str:
        """What is short, for people."""
        return named(self.gap.asked, self.names)

    def said(self, proof: Proof) -> str:
        """What changes, as the end of a sentence."""
        before, after = percents(self.before.confidence, proof.confidence)
        words = _("from {before} to {after} sure").format(before=before, after=after)
        if self.closes(proof):
            return words
        return _("{words}; of {before} stems missing on average {after} stay missing").format(
            words=words, before=f"{self.before.missing:.0f}", after=f"{proof.missing:.0f}"
        )
