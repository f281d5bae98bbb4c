"""The planner: answers per version of the farm and day, kept while they may be asked again.

Seasons are drawn anew only when something that grows has changed; a change of orders matches again what it touches.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain
from typing import Generic, TypeVar

from haulm.demand.dated_line import DatedLine
from haulm.demand.dated_orders import dated_asks, order_lines_demand
from haulm.demand.standing import order_dates, standing_asks
from haulm.farm.orders import Order, StandingOrder
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import StandingStatus
from haulm.matching.match import match, rematch
from haulm.matching.result import MatchResult
from haulm.planning.growth import Drawing, Growth, grown, sowing_of
from haulm.planning.plan import Plan
from haulm.planning.settled import NOTHING_SETTLED, Settled

AnOrder = TypeVar("AnOrder", Order, StandingOrder)
Asked = TypeVar("Asked")
_Day = tuple[Site, date, frozenset[tuple[str, date]]]
"""The site, a day, and the lines that are settled on it."""

_PLANS_KEPT = 1
"""Once a version is written nobody asks about the one before it: farms are read, or locked, at their latest."""
_ASKING_PARTS = ("customers", "standing_orders", "standing_lines", "changes", "orders", "order_lines")
_GROWING_PARTS = ("site", "varieties", "beds", "batches", "records", "known_stems", "temperatures", "sprays")


@dataclass(frozen=True, eq=False)
class _Grown:
    """A growth with what it was grown from, to know whether it still holds."""

    growth: Growth
    parts: tuple[object, ...]
    settled: Settled
    last_due: date

    def holds(self, parts: tuple[object, ...], settled: Settled, last_due: date) -> bool:
        """Whether nothing that grows has changed; parts untouched by an edit are the same objects."""
        same = all(a is b or a == b for a, b in zip(self.parts, parts, strict=True))
        is_settled = self.settled == settled and self.settled.booked == settled.booked
        return same and is_settled and last_due <= self.last_due


class Planner:
    """Makes plans and keeps the last. Safe to ask from several threads."""

    def __init__(self, drawing: Drawing | None = None) -> None:
        """A planner that has made no plan yet."""
        self.drawing = drawing if drawing is not None else Drawing()
        self._plans: OrderedDict[tuple[int, date], Plan] = OrderedDict()
        self._last: tuple[_Grown, Plan] | None = None
        self._tried: Plan | None = None
        self._demand = _Demand()
        self._lock = threading.RLock()

    def plan(self, farm: Farm, today: date, settled: Callable[[], Settled] = lambda: NOTHING_SETTLED) -> Plan:
        """The answers for a version of the farm on a day.

        Args:
            farm: the farm; its version names it among the farms this planner is asked about.
            today: the day it is looked at.
            settled: tells what is done with; asked only where the plan is not known yet.
        """
        key = (farm.version, today)
        with self._lock:
            known = self._plans.get(key)
            if known is None:
                known = self._made(farm, today, settled())
                self._plans[key] = known
                while len(self._plans) > _PLANS_KEPT:
                    self._plans.popitem(last=False)
            self._plans.move_to_end(key)
            return known

    def trial(self, plan: Plan, farm: Farm, *, frost_days_earlier: int = 0) -> Plan:
        """The answers for a changed farm on the day of a plan, without keeping them.

        Only orders, customers and added batches are taken to differ in a cheap way; any other change of what grows
        draws the batches anew. `frost_days_earlier` supposes the killing frost so much earlier in every season [d].
        """
        lines = self._demand.lines(farm, plan.today, plan.settled)
        last_due = _last_due(lines, plan.today)
        drawing = replace(self.drawing, frost_days_earlier=frost_days_earlier)
        cheap = plan.growth.reaches(last_due) and frost_days_earlier == 0
        growth = self._growth_from(plan, farm) if cheap else None
        if growth is None:
            growth = grown(farm, plan.today, drawing, plan.settled, last_due=last_due, before=plan.growth)
        tried = Plan(farm, plan.today, growth, matched(plan, lines, growth), plan.settled, like=plan)
        # What grows otherwise is never adopted, and would be kept beside the plan as large as that.
        may_be_adopted = self._last is not None and growth is self._last[0].growth
        self._tried = tried if may_be_adopted else None
        return tried

    def _growth_from(self, plan: Plan, farm: Farm) -> Growth | None:
        """The plan's growth with the batches that were added to it; None where something else grows otherwise."""
        others = [name for name in _GROWING_PARTS if name != "batches"]
        if any(getattr(plan.farm, name) != getattr(farm, name) for name in others):
            return None
        old, new = plan.farm.batches, farm.batches
        if new[: len(old)] != old:
            return None
        growth = plan.growth
        if len(new) > len(old) and growth.forecast is None:
            return None
        for batch in new[len(old) :]:
            growth = growth.with_sowing(sowing_of(farm, batch, growth.crops[batch.variety]))
        return growth

    def _made(self, farm: Farm, today: date, settled: Settled) -> Plan:
        parts = (*(getattr(farm, name) for name in _GROWING_PARTS), today)
        if (adopted := self._adopted(farm, parts, settled)) is not None:
            return adopted
        lines = self._demand.lines(farm, today, settled)
        last_due = _last_due(lines, today)
        if self._last is not None and self._last[0].holds(parts, settled, last_due):
            kept, known = self._last
            if replace(known.farm, version=farm.version) == farm:
                plan = known.of_version(farm)
                self._last = (kept, plan)
                return plan
            result = rematch(known.result, lines, kept.growth.supply)
        else:
            last = None if self._last is None else self._last[1]
            before = None if last is None else last.growth
            growth = grown(farm, today, self.drawing, settled, last_due=last_due, before=before)
            kept = _Grown(growth, parts, settled, last_due)
            result = matched(last, lines, growth)
        plan = Plan(farm, today, kept.growth, result, settled)
        self._last = (kept, plan)
        return plan

    def _adopted(self, farm: Farm, parts: tuple[object, ...], settled: Settled) -> Plan | None:
        """The last trial as the plan of this version: what was judged is most often what was then written."""
        tried = self._tried
        if tried is None or self._last is None or not _asks_the_same(tried.farm, farm):
            return None
        kept = self._last[0]
        if tried.growth is not kept.growth or not kept.holds(parts, settled, kept.last_due):
            return None
        plan = Plan(farm, tried.today, kept.growth, tried.result, settled, like=tried)
        self._last, self._tried = (kept, plan), None
        return plan


def _asks_the_same(tried: Farm, farm: Farm) -> bool:
    """Whether two farms ask for the same stems; rows that no edit touched are the same objects."""
    return all(getattr(tried, name) == getattr(farm, name) for name in _ASKING_PARTS)


def matched(before: Plan | None, lines: tuple[DatedLine, ...], growth: Growth) -> MatchResult:
    """The match of lines and growth; where the rules are the same as before, only what has changed is matched."""
    if before is None or before.growth.keeping != growth.keeping:
        return match(lines, growth.supply, growth.keeping)
    return rematch(before.result, lines, growth.supply)


class _Demand:
    """All demand of a farm; that of an order is kept while the order stays as it is.

    The match tells lines that have stayed by being the same objects, which is much quicker than comparing them.
    """

    def __init__(self) -> None:
        self._standing = _Kept(order_dates)
        self._dated = _Kept(order_lines_demand)

    def lines(self, farm: Farm, today: date, settled: Settled) -> tuple[DatedLine, ...]:
        """The dated lines from a day on that are not settled; in no order, since the match has its own."""
        day = (farm.site, today, settled.lines)
        # A pause asks nothing, and what is kept of the order stays for the time after it.
        active = (ask for ask in standing_asks(farm) if ask[0].status is StandingStatus.ACTIVE)
        standing = (self._standing.lines(day, order, asked) for order, asked in active)
        dated = (self._dated.lines(day, order, asked) for order, asked in dated_asks(farm))
        return tuple(chain.from_iterable(chain(standing, dated)))


class _Kept(Generic[AnOrder, Asked]):
    """The lines of orders of one sort, each kept while its order stays as it is."""

    def __init__(self, dates: Callable[[Site, AnOrder, Asked, date], Iterable[DatedLine]]) -> None:
        self._dates: Callable[[Site, AnOrder, Asked, date], Iterable[DatedLine]] = dates
        self._known: dict[str, tuple[tuple[object, ...], tuple[DatedLine, ...]]] = {}

    def lines(self, day: _Day, order: AnOrder, asked: Asked) -> tuple[DatedLine, ...]:
        site, today, settled = day
        known = self._known.get(order.key)
        if known is None or known[0] != (day, order, asked):
            found = self._dates(site, order, asked, today)
            known = ((day, order, asked), tuple(line for line in found if (line.line, line.due) not in settled))
            self._known[order.key] = known
        return known[1]


def _last_due(lines: tuple[DatedLine, ...], today: date) -> date:
    return max((line.due for line in lines), default=today)
