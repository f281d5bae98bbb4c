"""The planner: answers per version of the farm and day, kept while they may be asked again.

Seasons are drawn anew only when something that grows has changed; a change of orders matches again what it touches.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from itertools import chain
from typing import NamedTuple
from weakref import ref

from haulm.demand.dated_line import DatedLine
from haulm.demand.dated_orders import dated_asks, order_lines_demand
from haulm.demand.standing import StandingAsk, order_dates, standing_asks
from haulm.farm.orders import Order, OrderLine, StandingOrder
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import StandingStatus
from haulm.kept import Kept
from haulm.matching.allocation.match import match, rematch
from haulm.matching.allocation.result import MatchResult
from haulm.planning.growth import Drawing, Growth, grown, sowing_of
from haulm.planning.plan import KeptOfProducts, Plan
from haulm.planning.settled import NOTHING_SETTLED, Settled

_PLANS_KEPT = 1
"""Once a version is written nobody asks about the one before it: farms are read, or locked, at their latest."""
_ORDERS_KEPT = 2048
_ASKING_PARTS = ("customers", "standing_orders", "standing_lines", "changes", "orders", "order_lines")
_GROWING_PARTS = ("site", "varieties", "beds", "batches", "records", "known_stems", "temperatures", "sprays")


class _Asking(NamedTuple):
    """What the lines of an order depend on: the site, the day, the lines settled on it, the order and what it asks."""

    site: Site
    today: date
    settled: frozenset[tuple[str, date]]
    order: Order | StandingOrder
    asked: tuple[OrderLine, ...] | StandingAsk


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
        self._plans: Kept[tuple[int, date], Plan] = Kept(_PLANS_KEPT)
        self._last: tuple[_Grown, Plan] | None = None
        self._tried: Plan | None = None
        self._demand = _Demand()
        self._of_products = KeptOfProducts()
        self._lock = threading.RLock()

    def plan(self, farm: Farm, today: date, settled: Callable[[], Settled] = lambda: NOTHING_SETTLED) -> Plan:
        """The answers for a version of the farm on a day.

        Args:
            farm: the farm; its version names it among the farms this planner is asked about.
            today: the day it is looked at.
            settled: tells what is done with; asked only where the plan is not known yet.
        """
        with self._lock:
            return self._plans.of((farm.version, today), lambda: self._made(farm, today, settled()))

    def trial(self, plan: Plan, farm: Farm, *, frost_days_earlier: int = 0, settled: Settled | None = None) -> Plan:
        """The answers for a changed farm on the day of a plan, without keeping them.

        Only orders, customers and added batches are taken to differ in a cheap way; any other change of what grows
        draws the batches anew. `frost_days_earlier` supposes the killing frost so much earlier in every season [d];
        `settled`, where it is given, that this is done with, and not what the plan has.
        """
        settled = plan.settled if settled is None else settled
        lines = self._demand.lines(farm, plan.today, settled)
        last_due = _last_due(lines, plan.today)
        drawing = replace(self.drawing, frost_days_earlier=frost_days_earlier)
        cheap = plan.growth.reaches(last_due) and frost_days_earlier == 0 and settled == plan.settled
        growth = self._growth_from(plan, farm) if cheap else None
        if growth is None:
            growth = grown(farm, plan.today, drawing, settled, last_due=last_due, before=plan.growth)
        tried = Plan(
            farm,
            plan.today,
            growth,
            matched(plan, lines, growth),
            settled,
            like=ref(plan),
            of_products=self._of_products,
        )
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
            if (
                replace(known.farm, version=farm.version, usual_sales=farm.usual_sales) == farm
            ):  # no promise rests on them
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
        plan = Plan(farm, today, kept.growth, result, settled, of_products=self._of_products)
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
        plan = Plan(
            farm, tried.today, kept.growth, tried.result, settled, like=ref(tried), of_products=self._of_products
        )
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
    """All demand of a farm; that of an order is kept by the order, what it asks, the site and the day.

    So lines that have stayed are the same objects, which the match tells much quicker than by comparing them. A pause
    asks nothing, and what is kept of the order stays for the time after it.
    """

    def __init__(self) -> None:
        self._known: Kept[_Asking, tuple[DatedLine, ...]] = Kept(_ORDERS_KEPT)

    def lines(self, farm: Farm, today: date, settled: Settled) -> tuple[DatedLine, ...]:
        """The dated lines from a day on that are not settled; in no order, since the match has its own."""
        day = (farm.site, today, settled.lines)
        standing = (
            _Asking(*day, order, ask) for order, ask in standing_asks(farm) if order.status is StandingStatus.ACTIVE
        )
        asked = chain(standing, (_Asking(*day, order, lines) for order, lines in dated_asks(farm)))
        return tuple(chain.from_iterable(self._known.of(one, partial(_lines_of, one)) for one in asked))


def _lines_of(asking: _Asking) -> tuple[DatedLine, ...]:
    site, today, settled, order, asked = asking
    if isinstance(order, StandingOrder):
        assert isinstance(asked, StandingAsk), "a standing order asks lines and changes"
        found = order_dates(site, order, asked, today)
    else:
        assert isinstance(asked, tuple), "a dated order asks lines"
        found = order_lines_demand(site, order, asked, today)
    return tuple(line for line in found if (line.line, line.due) not in settled)


def _last_due(lines: tuple[DatedLine, ...], today: date) -> date:
    return max((line.due for line in lines), default=today)
