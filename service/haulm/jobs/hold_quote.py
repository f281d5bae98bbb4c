"""Hold, contract and release: the steps of a promise, each judged by the match in the transaction that writes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.acceptance import Levels, Verdict, verdict
from haulm.errors import NotFound
from haulm.farm.edits import with_rows
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus
from haulm.jobs.desk import Desk
from haulm.jobs.refusals import DatePassed, HoldExpired, NotAQuote, PromiseRefused
from haulm.jobs.sound_rows import require_sound
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


@dataclass(frozen=True, slots=True)
class Promised:
    """A promise that was made: the order as it now stands, and what it was judged by."""

    order: Order
    verdict: Verdict
    overridden: bool


def hold_quote(
    desk: Desk, work: UnitOfWork, order_key: str, until: date, *, level: float | None = None, override: bool = False
) -> Promised:
    """Reserve the stems of a quote, at the place of a hold, through a day.

    Raises:
        NotFound, NotAQuote, DatePassed: the step is not open.
        PromiseRefused: a line is less sure than asked or an earlier promise would fall, and nobody overrode it.
    """
    today = desk.today()
    order = order_named(work.farm, order_key)
    _check_step(order, "hold", today, (OrderStatus.QUOTED, OrderStatus.ON_HOLD))
    if until < today:
        raise DatePassed(what="until", found=until, today=today)
    held = replace(order, status=OrderStatus.ON_HOLD, hold_until=until, committed_on=order.committed_on or today)
    return _promise(desk, work, held, level, override)


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
    override: bool = False,
    deposit: DepositNoted | None = None,
) -> Promised:
    """Contract a quote or a hold, at the place of its kind; a hold that is over has to be held again first.

    Raises:
        NotFound, NotAQuote, HoldExpired: the step is not open.
        PromiseRefused: a line is less sure than asked or an earlier promise would fall, and nobody overrode it.
    """
    today = desk.today()
    order = order_named(work.farm, order_key)
    _check_step(order, "contract", today, (OrderStatus.QUOTED, OrderStatus.ON_HOLD))
    if order.status is OrderStatus.ON_HOLD and order.hold_until is not None and order.hold_until < today:
        raise HoldExpired(order=order.key, until=order.hold_until)
    contracted = replace(
        order, status=OrderStatus.CONTRACTED, hold_until=None, committed_on=order.committed_on or today
    )
    return _promise(desk, work, contracted, level, override, deposit)


def release_quote(desk: Desk, work: UnitOfWork, order_key: str) -> Order:
    """Let an order's stems go.

    Raises:
        NotFound, NotAQuote: the step is not open.
    """
    order = order_named(work.farm, order_key)
    open_steps = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
    _check_step(order, "release", desk.today(), open_steps)
    released = replace(order, status=OrderStatus.CANCELLED, hold_until=None)
    seq = work.enter("released", f"orders/{order.key}", {"was": str(order.status)})
    work.put(released, entry=seq)
    for line in lines_of(work.farm, order.key):
        if any(found.state.is_open for found in work.promises(line.key, order.due_date)[-1:]):
            let_go = Promise(line.key, order.due_date, order.key, PromiseState.RELEASED, line.stems)
            work.promise(let_go, entry=seq)
    return released


def lines_of(farm: Farm, order: str) -> tuple[OrderLine, ...]:
    """The lines of an order."""
    return tuple(line for line in farm.order_lines if line.order == order)


def judged(desk: Desk, farm: Farm, order: Order, lines: tuple[OrderLine, ...], level: float) -> Verdict:
    """The judgement of an order with these lines in its real place, without writing anything."""
    plan = desk.plan_of(farm)
    trial = desk.planner.trial(plan, with_rows(farm, [order, *lines]))
    levels = Levels(asked=level, usual=farm.site.level_of(order.kind.line_class))
    return verdict(plan.outlooks, trial.outlooks, order.key, trial.joint(order.key), levels=levels)


def _promise(
    desk: Desk,
    work: UnitOfWork,
    order: Order,
    level: float | None,
    override: bool,
    deposit: DepositNoted | None = None,
) -> Promised:
    require_sound(work.farm, [order])
    asked = level if level is not None else work.farm.site.level_of(order.kind.line_class)
    lines = tuple(replace(line, promised_confidence=asked) for line in lines_of(work.farm, order.key))
    found = judged(desk, work.farm, order, lines, asked)
    if not found.accepted and not override:
        raise PromiseRefused(order=order.key, verdict=found)
    state = PromiseState.HELD if order.status is OrderStatus.ON_HOLD else PromiseState.CONTRACTED
    seq = work.enter(str(state), f"orders/{order.key}", {**promise_facts(order, found), **_deposit(deposit)})
    work.put(order, entry=seq)
    for line in lines:
        work.put(line, entry=seq)
        work.promise(Promise(line.key, order.due_date, order.key, state, line.stems, asked), entry=seq)
    return Promised(order, found, overridden=not found.accepted)


def order_named(farm: Farm, key: str) -> Order:
    """The order of that key.

    Raises:
        NotFound: there is none.
    """
    found = next((order for order in farm.orders if order.key == key), None)
    if found is None:
        raise NotFound(kind="order", key=key)
    return found


def _check_step(order: Order, step: str, today: date, accepted: tuple[OrderStatus, ...]) -> None:
    if order.status not in accepted:
        words = " or ".join(str(status) for status in accepted)
        raise NotAQuote(order=order.key, status=str(order.status), step=step, accepted=words)
    if order.due_date < today:
        raise DatePassed(what=f"Order '{order.key}' due", found=order.due_date, today=today)


def promise_facts(order: Order, found: Verdict) -> dict[str, object]:
    """What an entry keeps of a judgement."""
    return {
        "level": found.level,
        "order_confidence": found.joint,
        "hold_until": order.hold_until.isoformat() if order.hold_until else None,
        "overridden": not found.accepted,
        "would_fall": [{"line": fall.line.line, "from": fall.before, "to": fall.after} for fall in found.falls],
    }


def _deposit(noted: DepositNoted | None) -> dict[str, object]:
    return {} if noted is None else {"deposit_minor": noted.amount_minor, "deposit_on": noted.on.isoformat()}
