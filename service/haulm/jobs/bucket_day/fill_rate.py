"""How well each customer was served: what was asked, sent and sent instead, by bucket day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, settled_deliveries
from haulm.jobs.desk.desk import Desk


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
    """Every list of which something was settled by customer, newest first; of one customer, if named."""
    sums: dict[tuple[date, str], list[int]] = {}
    for one in settled_deliveries(desk.store.entries_of(*OF_SETTLED)).values():
        found = sums.setdefault((one.day, one.customer), [0, 0, 0])
        for line in one.lines:
            found[0] += int(line["asked"])
            found[1] += int(line["filled"])
            found[2] += sum(part["stems"] for part in line["from"] if line["product"] not in (None, part["product"]))
    ordered = sorted(sums, key=lambda key: (-key[0].toordinal(), key[1]))
    return tuple(Served(key, day, *sums[day, key]) for day, key in ordered if customer in (None, key))
