"""How well each customer was served: what was asked, sent and sent instead, by bucket day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.jobs.after_the_list import lines_of
from haulm.jobs.confirmed_lists import CONFIRMED, CORRECTED
from haulm.jobs.desk import Desk


@dataclass(frozen=True, slots=True)
class Served:
    """One customer on one bucket day: stems asked, sent, and among these sent instead of what was asked."""

    customer: str
    day: date
    asked: int
    sent: int
    instead: int

    @property
    def share(self) -> float:
        """The share of what was asked that was sent, 0-1."""
        return self.sent / self.asked if self.asked else 1.0


def fill_rate(desk: Desk, customer: str | None = None) -> tuple[Served, ...]:
    """Every confirmed list by customer, newest first; of one customer, if named."""
    less = corrections(desk)
    found: list[Served] = []
    for entry in reversed(desk.store.entries_of(CONFIRMED)):
        day = date.fromisoformat(entry.facts["date"])
        by_customer: dict[str, list[int]] = {}
        for line in lines_of(entry.facts):
            sums = by_customer.setdefault(line["customer"], [0, 0, 0])
            sent = min(int(line["filled"]), less.get((line["line"], line["due"]), int(line["filled"])))
            sums[0] += int(line["asked"])
            sums[1] += sent
            sums[2] += sum(one["stems"] for one in line["from"] if line["product"] not in (None, one["product"]))
        found += [Served(key, day, *sums) for key, sums in by_customer.items() if customer in (None, key)]
    return tuple(found)


def corrections(desk: Desk) -> dict[tuple[str, str], int]:
    """The last number of every line that was corrected."""
    return {
        (entry.facts["line"], entry.facts["due"]): entry.facts["stems"] for entry in desk.store.entries_of(CORRECTED)
    }
