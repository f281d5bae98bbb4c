"""The desk a use case works at: the store, the planner and the clock, passed in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.store.unit_of_work import Store


@dataclass(frozen=True, slots=True)
class Desk:
    """What every use case is given.

    Attributes:
        store: where the farm is kept.
        planner: answers per version of the farm.
        today: the day in the farm's zone (or the day that stands for it): due dates, holds, seasons.
        now: the real time in UTC: entries and retries.
    """

    store: Store
    planner: Planner
    today: Callable[[], date]
    now: Callable[[], datetime]

    def plan(self) -> Plan:
        """The answers for the farm as it stands now."""
        return self.planner.plan(self.store.farm(), self.today())
