"""Take back the larger part of an order: what was sown for it leaves the plan, and what stands today stays promised."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from haulm.advice.acceptance import Fall, NewPromise
from haulm.farm.batches import Batch
from haulm.farm.orders import Order
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart, OrderStatus
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import judged, keep_floors
from haulm.jobs.promises.change_quote import write_order
from haulm.jobs.promises.hold_quote import lines_of, order_named
from haulm.jobs.promises.promise_part import PartOffer, answered_parts, offer_of
from haulm.jobs.promises.quote_wedding import facts
from haulm.jobs.quotes.answer import Answered, of_size
from haulm.jobs.quotes.order_parts import farm_with, promised_at
from haulm.jobs.quotes.prices import priced_answer
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from haulm.jobs.quotes.refusals import NotAQuote, PartNotOffered
from haulm.jobs.quotes.version import VERSION_KINDS, versions_of
from haulm.jobs.quotes.written import version_of
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

_OPEN = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


def take_back_part(desk: Desk, work: UnitOfWork, key: str) -> Order:
    """Take back what was sown for an order and promised with it, while nothing rests on it.

    The smaller part stays as it is promised; the sowing leaves the plan, in the same step.

    Raises:
        NotFound, NotAQuote: the step is not open.
        PartNotOffered: nothing is sown for it, nothing would be left, or a sowing is not as it was planned any more.
        PromiseRefused: somebody was promised something since that rests on the sowing.
    """
    plan, order = desk.plan_of(work.farm), order_named(work.farm, key)
    if order.status not in _OPEN:
        accepted = _(" or ").join(map(str, _OPEN))
        raise NotAQuote(order=key, status=str(order.status), step=_("take a part back from"), accepted=accepted)
    entry = _entry(work, plan.farm, key)
    batches = tuple(_as_planned(plan.farm, key, entry.facts["sowings"]))
    versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
    offer = offer_of(plan, order, versions[-1] if versions else None, OrderPart.STANDS)
    bare = replace(plan.farm, batches=tuple(batch for batch in plan.farm.batches if batch not in batches))
    base = desk.planner.trial(plan, bare)
    found = priced_answer(answered_parts(desk, base, order, offer), lines_of(plan.farm, key), today=desk.today())
    said = _judged(desk, plan, bare, found, offer)
    _check_rests(work, said, since=entry.seq)
    version = version_of(found, of_size(offer.asked, offer.parts.larger), number=len(versions) + 1, today=desk.today())
    changed = (_("What was sown for it is taken back, and out of the plan; what stands today stays."),)
    version = replace(version, changed=changed, places=offer.places, safer=None)
    body = {**facts(version, offer.asked), "taken_back": [batch.key for batch in batches]}
    seq = work.enter("quote-changed", f"orders/{key}", body)
    write_order(work, order, order, found, entry=seq)
    keep_floors(desk, work, plan, said.verdict, entry=seq)
    # An entry of its own: it is the plan that changes, and floors that rose by the sowing follow it.
    for batch in batches:
        work.remove("batches", batch.key, entry=work.enter("sowing-taken-back", f"batches/{batch.key}", {"order": key}))
    return order


def _entry(work: UnitOfWork, farm: Farm, key: str) -> Entry:
    """The entry that promised the larger part and wrote its sowing.

    Raises:
        PartNotOffered: there is none, or it was taken back.
    """
    entries = [one for one in work.entries_of("held", "contracted", about=f"orders/{key}") if one.facts.get("sown")]
    if not entries or all(line.part is not OrderPart.SOWN for line in lines_of(farm, key)):
        raise PartNotOffered(
            order=key, part=str(OrderPart.SOWN), why=_("nothing is sown for it that could be taken back")
        )
    return entries[-1]


def _as_planned(farm: Farm, key: str, planned: list[Mapping[str, Any]]) -> Iterator[Batch]:
    batches = {batch.key: batch for batch in farm.batches}
    recorded = {record.batch for record in farm.records}
    for values in planned:
        batch = batches.get(values["key"])
        if batch is None:
            continue  # it was taken out of the plan already
        if batch.key in recorded or values_of("batches", batch) != dict(values):
            why = _("'{key}', sown for it, is not as it was planned any more; take that back first").format(
                key=batch.key
            )
            raise PartNotOffered(order=key, part=str(OrderPart.SOWN), why=why)
        yield batch


def _judged(desk: Desk, plan: Plan, bare: Farm, found: Answered, offer: PartOffer) -> Judged:
    """What would fall without it. Nothing is promised anew."""
    lines = promised_at(found.draft.order_lines, offer.level)
    trial = desk.planner.trial(plan, farm_with(bare, found.order, lines))
    said = judged(desk, plan, trial, NewPromise(found.order.key, 0.0, 1.0, frozenset()))
    return Judged(found.order.key, said, trial)


def _check_rests(work: UnitOfWork, said: Judged, *, since: int) -> None:
    """Refuse where the smaller part, or what somebody was promised since, would fall; others only gained by it.

    Raises:
        PromiseRefused: what would fall.
    """

    def rests(fall: Fall) -> bool:
        books = (work.promises(line.line, line.due)[-1:] for line in fall.lines)
        return fall.what.order == said.order or any(found.entry > since for one in books for found in one)

    falls = tuple(filter(rests, said.verdict.falls))
    if falls:
        raise PromiseRefused(replace(said, verdict=replace(said.verdict, falls=falls)))
