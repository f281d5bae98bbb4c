"""May promise: somebody asks on the spot, and hears the most stems that would be accepted. Nothing is written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.advice.may_promise import MayPromise
from haulm.errors import NotAccepted, NotFound
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import Order, OrderLine
from haulm.farm.quantities import percent, percents
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.asked_level import check_level
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.grown_here import check_kinds_grown
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.desk.served_days import check_day_served
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.quote_wedding import ENQUIRY, free_quote_key, new_customer
from haulm.jobs.quotes.promise_refused import fall_of_verdict
from haulm.language.words import _
from haulm.matching.reading.free_to_promise import hope_level
from haulm.planning.may_promise import LineAsked, may_promise_line
from haulm.planning.plan import Plan

_PROMISED = (OrderStatus.CONTRACTED, OrderStatus.ON_HOLD)


@dataclass(frozen=True, slots=True)
class SpotAsked:
    """What is asked for.

    Attributes:
        line: product or choice and its narrowings; key, order and stems are given here.
        due_date: the day the stems leave.
        kind: what the order would be for.
        status: contracted, or on hold.
        customer: key of a customer, or None for an enquiry.
        confidence: the level asked; None takes the farm's own.
    """

    line: OrderLine
    due_date: date
    kind: OrderKind = OrderKind.ONE_OFF
    status: OrderStatus = OrderStatus.CONTRACTED
    customer: str | None = None
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class SpotAnswer:
    """The answer to a question on the spot.

    Attributes:
        asked: the question.
        level: the level asked, 0-1.
        found: what may be promised at it.
        hope: stems that may be hoped for at the hope's own level, never promised; None where the levels are the same.
        plan: the plan it was asked of.
    """

    asked: SpotAsked
    level: float
    found: MayPromise
    hope: int | None
    plan: Plan

    @property
    def sentence(self) -> str:
        """The answer in words, and what stands against one stem more."""
        line, day = self.asked.line, day_in_words(self.asked.due_date)
        what = asked_in_words(str(line.product if line.product is not None else line.choice), self.plan.crops)
        may = _("{stems} {what} may be promised for {day} at {level}{hoped}").format(
            stems=self.found.stems, what=what, day=day, level=percent(self.level), hoped=self._hoped()
        )
        also = _(" {also} could be promised again.").format(also=self.found.also) if self.found.also is not None else ""
        beyond = self.found.beyond
        if beyond is None:
            return _("{may}; more cannot be asked.").format(may=may)
        if beyond.falls:
            others = (
                _(", and {count} more would fall").format(count=len(beyond.falls) - 1) if len(beyond.falls) > 1 else ""
            )
            return _("{may}; one more would take {fall}{others}.{also}").format(
                may=may, fall=fall_of_verdict(beyond.falls[0], self.plan), others=others, also=also
            )
        sure, _level = percents(beyond.joint, self.level)
        return _("{may}; one more would be {sure} sure.{also}").format(may=may, sure=sure, also=also)

    def _hoped(self) -> str:
        return "" if self.hope is None else _(" ({hope} as a hope to offer, not promised)").format(hope=self.hope)


def ask_on_the_spot(desk: Desk, asked: SpotAsked) -> SpotAnswer:
    """The most stems of a line that would be accepted, were it promised today.

    Raises:
        DatePassed, DayNotServed, FolderRefused, NotAccepted, NotFound: the ask cannot be answered.
    """
    plan = desk.plan()
    level = plan.farm.site.level_of(asked.kind.line_class) if asked.confidence is None else asked.confidence
    check_level(level)
    order = _order(plan.farm, plan.today, asked)
    line = OrderLine(
        f"{order.key}-1",
        order.key,
        1,
        product=asked.line.product,
        choice=asked.line.choice,
        substitutes=asked.line.substitutes,
        stage=asked.line.stage,
        min_length_cm=asked.line.min_length_cm,
        max_each=asked.line.max_each,
        max_age_days=asked.line.max_age_days,
    )
    others = tuple(new_customer(plan.farm, order))
    require_sound(plan.farm, [*others, order, line])
    check_kinds_grown(plan.crops, line)
    check_day_served(plan.farm.site, plan.crops, line, order.due_date)
    asked_line = LineAsked(order, line, level, MOST_STEMS, others)
    floors, hope = floors_of(desk, plan), hope_level(level)
    found = may_promise_line(desk.planner, plan, asked_line, floors)
    hoped = None
    if hope < level:
        hoped = max(found.stems, may_promise_line(desk.planner, plan, replace(asked_line, level=hope), floors).stems)
    return SpotAnswer(asked, level, found, hoped, plan)


def _order(farm: Farm, today: date, asked: SpotAsked) -> Order:
    if asked.due_date < today:
        raise DatePassed(what=_("Day the stems leave"), found=asked.due_date, today=today)
    if asked.status not in _PROMISED:
        raise NotAccepted(where="status", found=f"'{asked.status}'", accepted=_("'contracted' or 'on_hold'"))
    if asked.customer is not None and all(customer.key != asked.customer for customer in farm.customers):
        raise NotFound(kind=_("customer"), key=asked.customer)
    until = today if asked.status is OrderStatus.ON_HOLD else None
    return Order(
        free_quote_key(farm, farm.version),
        asked.customer or ENQUIRY.key,
        asked.kind,
        asked.due_date,
        committed_on=today,
        status=asked.status,
        hold_until=until,
    )
