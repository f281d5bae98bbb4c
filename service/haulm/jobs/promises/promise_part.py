"""Hold or contract a part of a quote: what stands today, or that with what is sown for it, which enters the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.acceptance import Verdict
from haulm.advice.options.candidates import Candidate
from haulm.advice.options.placing import free_key
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.orders import Order
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Form, Method, OrderPart, OrderStatus
from haulm.farm_folder.cells import row_from_values, values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import keep_floors
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.change_quote import write_order
from haulm.jobs.promises.hold_quote import (
    DepositNoted,
    Promised,
    contract_of_hold,
    deposit_facts,
    lines_of,
    opened,
    order_named,
    promise_facts,
)
from haulm.jobs.promises.quote_wedding import facts
from haulm.jobs.quotes.answer import Answered, QuoteAsked, asked_again, of_size, with_products
from haulm.jobs.quotes.order_parts import TwoParts, draft_of_parts, farm_with, promised_at, verdict_of
from haulm.jobs.quotes.places_told import PlaceSowing, PlacesTold
from haulm.jobs.quotes.prices import priced_answer
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from haulm.jobs.quotes.refusals import PartNotOffered
from haulm.jobs.quotes.version import VERSION_KINDS, QuoteVersion, versions_of
from haulm.jobs.quotes.written import version_of
from haulm.language.words import _, one_or_more
from haulm.planning.hoped_for import LeftOver
from haulm.planning.plan import Plan
from haulm.planning.sown_for import begun_on, seed_minor
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


@dataclass(frozen=True, slots=True)
class PartStep:
    """A step for a part of a quote.

    Attributes:
        part: what stands today, or the larger part: that with what is sown for it.
        until: through which day it is held; None contracts it.
        override: the reason to do it in spite of a refusal; None: it is refused.
        deposit: a deposit that was paid, for a contract.
    """

    part: OrderPart
    until: date | None = None
    override: str | None = None
    deposit: DepositNoted | None = None


def promise_part(desk: Desk, work: UnitOfWork, key: str, step: PartStep) -> Promised:
    """Promise a part of a quote at the level it was quoted at; the sowing of the larger part enters the plan with it.

    What was promised of the smaller part before keeps its own floors: the larger part never lowers them.

    Raises:
        NotFound, NotAQuote, DatePassed, HoldExpired: the step is not open.
        PartNotOffered: the quote has no such part, or its sowing is too late or has no room any more.
        PromiseRefused: it is less sure than quoted or an earlier promise would fall, and there is no override.
    """
    plan, before = desk.plan_of(work.farm), order_named(work.farm, key)
    to_add = step.part is OrderPart.SOWN and step.until is None
    statuses = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, *((OrderStatus.CONTRACTED,) if to_add else ()))
    now = opened(before, step.until, desk.today(), statuses)
    versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
    offer = offer_of(plan, before, versions[-1] if versions else None, step.part)
    require_sound(work.farm, [now, *offer.batches])
    found = answered_parts(desk, plan, now, offer)
    found = priced_answer(found, lines_of(work.farm, key), today=desk.today())
    said = _judged(desk, plan, before, found, offer)
    if not said.verdict.accepted and step.override is None:
        raise PromiseRefused(said)
    _write(desk, work, (before, versions[-1]), (found, offer, said), step)
    contract = contract_of_hold(desk, plan, said, now) if now.status is OrderStatus.ON_HOLD else None
    return Promised(now, said.verdict, overridden=not said.verdict.accepted, contract=contract)


@dataclass(frozen=True, slots=True)
class PartOffer:
    """What was offered: what was asked, how much of it is meant, what is sown for it, at which level."""

    part: OrderPart
    asked: QuoteAsked
    parts: TwoParts
    batches: tuple[Batch, ...]
    places: PlacesTold
    level: float


def offer_of(plan: Plan, order: Order, version: QuoteVersion | None, part: OrderPart) -> PartOffer:
    """What a version of a quote offers of a part.

    Raises:
        PartNotOffered: it has no such part, or what is sown for it is too late or has no room any more.
    """
    places = None if version is None else version.places
    if version is None or places is None:
        why = _("it was not quoted in parts; take it as it stands, or change it to be answered anew")
        raise PartNotOffered(order=order.key, part=str(part), why=why)
    counts, none = places.counts, tuple(0 for _ in places.counts.sown)
    asked = replace(
        asked_again(version),
        pieces=places.pieces,
        lines=tuple(row_from_values("order_lines", values) for values in places.lines),
        customer=order.customer,
        kind=order.kind,
    )
    if part is OrderPart.STANDS:
        if places.promised is None:
            raise PartNotOffered(
                order=order.key, part=str(part), why=_("nothing of it may be promised as the farm stands")
            )
        return PartOffer(part, asked, TwoParts(counts.promised, none), (), places, version.level)
    batches = _sowings(plan, order, places)
    return PartOffer(part, asked, TwoParts(counts.promised, counts.sown), batches, places, version.level)


def _sowings(plan: Plan, order: Order, places: PlacesTold) -> tuple[Batch, ...]:
    """What is sown for the larger part, begun today or on its own days."""
    sown, why = places.sown, ""
    if any(line.order == order.key and line.part is OrderPart.SOWN for line in plan.farm.order_lines):
        why = _("what is sown for it is promised already, and in the plan")
    elif sown is None:
        why = _("no sowing makes a promise of more than stands today")
    elif plan.today > sown.sow_by:
        why = _("what had to be sown for it was too late after {sow_by}; change it to be answered anew").format(
            sow_by=day_in_words(sown.sow_by)
        )
    if sown is None or why:
        raise PartNotOffered(order=order.key, part=str(OrderPart.SOWN), why=why)
    named: list[Batch] = []
    for one in sown.sowings:
        named.append(_batch(one, (*plan.farm.batches, *named)))
    begun = begun_on(plan, named, plan.today)
    if begun is None:
        why = _("its beds or the bench have no room for what has to be sown any more; change it to be answered anew")
        raise PartNotOffered(order=order.key, part=str(OrderPart.SOWN), why=why)
    return begun


def _batch(one: PlaceSowing, batches: Sequence[Batch]) -> Batch:
    candidate = Candidate(Product(one.variety, Form(one.form)), Method(one.method), one.sow_date)
    batch = candidate.batch(free_key(candidate, batches), one.places)
    return replace(batch, trays=one.trays, bed=one.bed, metres=one.metres)


def answered_parts(desk: Desk, plan: Plan, order: Order, offer: PartOffer) -> Answered:
    """The order with the lines of its parts, and the farm with it and with what is sown for it."""
    draft = draft_of_parts(plan, offer.asked, order.key, offer.parts)
    base = desk.planner.trial(plan, with_rows(_without(plan.farm, order), offer.batches))
    look = LeftOver(base, [order.due_date])
    outlook = look.outlook(with_products(base, draft, order), at=0)
    farm = farm_with(plan.farm, order, promised_at(draft.order_lines, offer.level), offer.batches)
    trial = desk.planner.trial(plan, farm)
    return Answered(order, draft, trial, look, outlook, offer.level, (), None)


def _judged(desk: Desk, plan: Plan, before: Order, found: Answered, offer: PartOffer) -> Judged:
    """All its lines are promised anew, but for those of the smaller part that stand where they stood."""
    order, lines = found.order, found.draft.order_lines
    standing = {line.key for line in lines_of(plan.farm, before.key) if line.part is OrderPart.STANDS}
    anew = [line for line in lines if line.key not in standing] if before.status is order.status else lines
    said: Verdict = verdict_of(desk, plan, found.trial, order, offer.level, anew=anew)
    return Judged(order.key, said, found.trial)


def _write(
    desk: Desk,
    work: UnitOfWork,
    before: tuple[Order, QuoteVersion],
    now: tuple[Answered, PartOffer, Judged],
    step: PartStep,
) -> None:
    """The version of what was promised and the promise, one after the other; the sowing belongs to the promise."""
    order, version = before
    found, offer, said = now
    asked = of_size(offer.asked, offer.parts.larger)
    seed = seed_minor(found.trial, offer.batches)
    fresh = version_of(found, asked, number=version.number + 1, today=desk.today(), seed_minor=seed)
    changed = (_changed(len(offer.batches)),)
    fresh = replace(fresh, changed=changed, places=offer.places, safer=None)
    work.enter("quote-changed", f"orders/{order.key}", facts(fresh, asked))
    body = {
        **promise_facts(found.order, said.verdict, step.override),
        **deposit_facts(step.deposit),
        "part": str(offer.part),
        "sown": [batch.key for batch in offer.batches],
        "sowings": [values_of("batches", batch) for batch in offer.batches],
        "was": {"status": str(order.status), "version": version.number},
    }
    state = PromiseState.HELD if found.order.status is OrderStatus.ON_HOLD else PromiseState.CONTRACTED
    seq = work.enter(str(state), f"orders/{order.key}", body)
    for batch in offer.batches:
        work.put(batch, entry=seq)
    write_order(work, order, found.order, found, entry=seq)
    keep_floors(desk, work, desk.plan_of(work.farm), said.verdict, entry=seq)


def _changed(sowings: int) -> str:
    """What changed with the promise, in words."""
    if not sowings:
        return _("What stands today alone.")
    return one_or_more(
        "What stands today, and what is sown for it. The sowing for it is in the plan.",
        "What stands today, and what is sown for it. {count} sowings for it are in the plan.",
        sowings,
    ).format(count=sowings)


def _without(farm: Farm, order: Order) -> Farm:
    return replace(
        farm,
        orders=tuple(other for other in farm.orders if other.key != order.key),
        order_lines=tuple(line for line in farm.order_lines if line.order != order.key),
    )
