"""Hold and contract: the steps of a promise, each judged by the match in the transaction that writes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import Floors
from haulm.errors import NotFound
from haulm.farm.edits import with_rows
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of, judged, keep_floors
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.quotes.keep_prices import lines_kept
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused, fall_facts
from haulm.jobs.quotes.refusals import HoldExpired, NotAQuote
from haulm.jobs.quotes.smaller_orders import sizes_of_quote
from haulm.jobs.quotes.version import VERSION_KINDS, versions_of
from haulm.language.words import _
from haulm.planning.may_promise import LineAsked, judge_of
from haulm.planning.plan import Plan
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


@dataclass(frozen=True, slots=True)
class Promised:
    """A promise that was made.

    Attributes:
        order: the order as it now stands.
        verdict: what it was judged by.
        overridden: whether it was made in spite of a refusal.
        contract: for a hold, the judgement of a contract were it made now; else None.
    """

    order: Order
    verdict: Verdict
    overridden: bool
    contract: Verdict | None = None


def hold_quote(
    desk: Desk,
    work: UnitOfWork,
    order_key: str,
    until: date,
    *,
    level: float | None = None,
    override: str | None = None,
) -> Promised:
    """Reserve the stems of a quote, at the place of a hold, through a day.

    Raises:
        NotFound, NotAQuote, DatePassed: the step is not open.
        PromiseRefused: it is less sure than asked or an earlier promise would fall, and `override` gives no reason.
    """
    held = opened(order_named(work.farm, order_key), until, desk.today())
    return _promise(desk, work, held, level, override)


def opened(
    order: Order,
    until: date | None,
    today: date,
    statuses: tuple[OrderStatus, ...] = (OrderStatus.QUOTED, OrderStatus.ON_HOLD),
) -> Order:
    """The order as it would be held through a day or, without one, contracted.

    Raises:
        NotAQuote, DatePassed, HoldExpired: the step is not open.
    """
    check_step(order, "contract" if until is None else "hold", today, statuses)
    committed = order.committed_on or today
    if until is None:
        if order.status is OrderStatus.ON_HOLD and order.hold_until is not None and order.hold_until < today:
            raise HoldExpired(order=order.key, until=order.hold_until)
        return replace(order, status=OrderStatus.CONTRACTED, hold_until=None, committed_on=committed)
    if until < today:
        raise DatePassed(what=_("until"), found=until, today=today)
    return replace(order, status=OrderStatus.ON_HOLD, hold_until=until, committed_on=committed)


@dataclass(frozen=True, slots=True)
class DepositNoted:
    """A deposit that was paid: a fact that is written down, no advice [minor units]."""

    amount_minor: int
    on: date


def contract_quote(
    desk: Desk,
    work: UnitOfWork,
    order_key: str,
    *,
    level: float | None = None,
    override: str | None = None,
    deposit: DepositNoted | None = None,
) -> Promised:
    """Contract a quote or a hold, at the place of its kind; a hold that is over has to be held again first.

    Raises:
        NotFound, NotAQuote, HoldExpired: the step is not open.
        PromiseRefused: it is less sure than asked or an earlier promise would fall, and `override` gives no reason.
    """
    contracted = opened(order_named(work.farm, order_key), None, desk.today())
    return _promise(desk, work, contracted, level, override, deposit)


def lines_of(farm: Farm, order: str) -> tuple[OrderLine, ...]:
    """The lines of an order."""
    return tuple(line for line in farm.order_lines if line.order == order)


def _judged_order(desk: Desk, work: UnitOfWork, order: Order, level: float) -> Judged:
    """The judgement of an order in its real place, all its lines promised at a level; nothing is written."""
    farm = work.farm
    plan = desk.plan_of(farm)
    lines = lines_at(farm, order.key, level)
    trial = desk.planner.trial(plan, with_rows(farm, [order, *lines]))
    found = judged(desk, plan, trial, NewPromise(order.key, level, trial.joint(order.key)))
    versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{order.key}"))
    version = versions[-1] if versions else None
    in_parts = version is not None and any(line.part is not None for line in lines)
    places = None if version is None or in_parts else version.places
    if len(lines) == 1:
        judge = judge_of(desk.planner, plan, LineAsked(order, lines[0], level, MOST_STEMS), floors_of(desk, plan))
        return Judged(order.key, found, trial, lines[0].stems, judge, places=places)
    sizes = sizes_of_quote(desk, plan, trial, order, level, version)
    return Judged(order.key, found, trial, sizes=sizes, places=places)


def contract_verdict(desk: Desk, held: Plan, order: Order, floors: Floors) -> Verdict:
    """Whether a hold could be contracted now, at the level it is held at; nothing is written.

    Args:
        desk: the desk.
        held: the plan with the hold in its place.
        order: the hold.
        floors: the floors with the hold in its place.
    """
    contracted = replace(order, status=OrderStatus.CONTRACTED, hold_until=None)
    trial = desk.planner.trial(held, with_rows(held.farm, [contracted]))
    level = min((line.level for line in held.lines_of(order.key)), default=0.0)
    return verdict(held.moment, trial.moment, NewPromise(order.key, level, trial.joint(order.key)), floors)


def contract_of_hold(desk: Desk, plan: Plan, said: Judged, order: Order) -> Verdict:
    """Whether a hold that is being made could be contracted at once."""
    floors = Floors({**floors_of(desk, plan).kept, **said.verdict.kept})
    return contract_verdict(desk, said.trial, order, floors)


def lines_at(farm: Farm, order: str, level: float) -> tuple[OrderLine, ...]:
    """The lines of an order, promised at a level."""
    return tuple(replace(line, promised_confidence=level) for line in lines_of(farm, order))


def _promise(
    desk: Desk,
    work: UnitOfWork,
    order: Order,
    level: float | None,
    override: str | None,
    deposit: DepositNoted | None = None,
) -> Promised:
    require_sound(work.farm, [order])
    asked = level if level is not None else work.farm.site.level_of(order.kind.line_class)
    said = _judged_order(desk, work, order, asked)
    found = said.verdict
    if not found.accepted and override is None:
        raise PromiseRefused(said)
    state = PromiseState.HELD if order.status is OrderStatus.ON_HOLD else PromiseState.CONTRACTED
    facts = {**promise_facts(order, found, override), **deposit_facts(deposit)}
    seq = work.enter(str(state), f"orders/{order.key}", facts)
    work.put(order, entry=seq)
    for line in lines_kept(work.farm, order, lines_at(work.farm, order.key, asked), today=desk.today()):
        work.put(line, entry=seq)
        work.promise(Promise(line.key, order.due_date, order.key, state, line.stems, asked), entry=seq)
    plan = desk.plan_of(work.farm)
    keep_floors(desk, work, plan, found, entry=seq)
    contract = contract_of_hold(desk, plan, said, order) if order.status is OrderStatus.ON_HOLD else None
    return Promised(order, found, overridden=not found.accepted, contract=contract)


def order_named(farm: Farm, key: str) -> Order:
    """The order of that key.

    Raises:
        NotFound: there is none.
    """
    found = next((order for order in farm.orders if order.key == key), None)
    if found is None:
        raise NotFound(kind=_("order"), key=key)
    return found


def check_step(order: Order, step: str, today: date, accepted: tuple[OrderStatus, ...]) -> None:
    """Refuse a step of an order that is not open to it, or whose day has passed.

    Raises:
        NotAQuote, DatePassed: it is not.
    """
    if order.status not in accepted:
        words = _(" or ").join(str(status) for status in accepted)
        raise NotAQuote(order=order.key, status=str(order.status), step=step, accepted=words)
    if order.due_date < today:
        raise DatePassed(what=_("Order '{key}' due").format(key=order.key), found=order.due_date, today=today)


def promise_facts(order: Order, found: Verdict, override: str | None) -> dict[str, object]:
    """What an entry keeps of a judgement, and of the owner's reason where it was overridden."""
    return {
        "level": found.level,
        "order_confidence": found.joint,
        "hold_until": order.hold_until.isoformat() if order.hold_until else None,
        "overridden": not found.accepted,
        "override_reason": None if found.accepted else override,
        "would_fall": [fall_facts(fall) for fall in found.falls],
    }


def deposit_facts(noted: DepositNoted | None) -> dict[str, object]:
    """What an entry keeps of a deposit."""
    return {} if noted is None else {"deposit_minor": noted.amount_minor, "deposit_on": noted.on.isoformat()}
