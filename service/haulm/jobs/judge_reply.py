"""The grower's word on a florist's answer: accepted, trimmed or declined; nobody's promise falls by it in silence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import Row
from haulm.farm.orders import Change, Order, OrderLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, weeks_between
from haulm.farm.words import OrderKind, OrderStatus, StandingStatus
from haulm.jobs.confirm_bucket_list import CONFIRMED, subject_of
from haulm.jobs.desk import Desk
from haulm.jobs.florist_page import REPLIED
from haulm.jobs.hold_quote import judged
from haulm.jobs.judge_demand import judge_demand, keep_promises
from haulm.jobs.quote_wedding import free_quote_key
from haulm.jobs.refusals import PromiseRefused
from haulm.jobs.reply_to_list import JUDGED, AskKind, ask_in_words
from haulm.jobs.sound_rows import require_sound
from haulm.planning.keeping import crops_of
from haulm.store.journal import Entry, Promise
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState


@dataclass(frozen=True, slots=True)
class Word:
    """The grower's word on one answer.

    Attributes:
        reply: the number of the answer.
        accept: whether it is accepted; what it asks is left as it is otherwise.
        bunches: fewer bunches than asked, by the place of the ask; those not named are as asked.
        note: a word to the florist.
        override: whether to accept though an earlier promise would fall.
    """

    reply: int
    accept: bool
    bunches: Mapping[int, int]
    note: str = ""
    override: bool = False


def judge_reply(desk: Desk, work: UnitOfWork, word: Word) -> tuple[str, ...]:
    """Judge an answer and write what follows from it; gives the outcome of each ask in words.

    A confirmed list is never touched by it: once the week's list is confirmed, only a pause of later weeks counts.

    Raises:
        NotFound: there is no such answer.
        NotAccepted: it was judged before, or is trimmed upwards.
        PromiseRefused: an earlier promise would fall, and nobody overrode it.
    """
    entry = _reply(work, word.reply)
    facts, customer = entry.facts, entry.subject.partition("/")[2]
    is_confirmed = work.last_entry(CONFIRMED, subject_of(date.fromisoformat(facts["day"]))) is not None
    seq = work.enter(JUDGED, f"customers/{customer}", {"reply": word.reply, "accepted": word.accept, "note": word.note})
    outcomes = tuple(
        _outcome(desk, work, (customer, Week.parse(facts["week"])), (place, ask), word, (seq, is_confirmed))
        for place, ask in enumerate(facts["asks"])
    )
    told = {"farm": work.farm.site.name, "monday": facts["day"], "note": word.note}
    asks = [
        {"sentence": ask_in_words(ask), "outcome": outcome}
        for ask, outcome in zip(facts["asks"], outcomes, strict=True)
    ]
    if any(found.key == customer and found.email for found in work.farm.customers):
        work.send(Letter(JUDGED, customer, {**told, "asks": asks}, f"{JUDGED}/{word.reply}"))
    return outcomes


def _outcome(
    desk: Desk,
    work: UnitOfWork,
    who: tuple[str, Week],
    asked: tuple[int, Mapping[str, Any]],
    word: Word,
    state: tuple[int, bool],
) -> str:
    (customer, week), (place, ask), (seq, is_confirmed) = who, asked, state
    kind = AskKind(ask["kind"])
    if kind is AskKind.YES:
        return "thank you"
    if not word.accept:
        return "not this time; your standing order stands"
    if kind is AskKind.PAUSE:
        first = week.plus(1) if is_confirmed else week
        rows: list[Row] = [
            Change(f"pause-{seq}-{number}", order.key, found, 0)
            for number, (order, found) in enumerate(_weeks(work.farm, customer, first, Week.parse(ask["until"])), 1)
        ]
        _write(desk, work, rows, seq, override=word.override)
        return "yes"
    if is_confirmed:
        return "too late for this week: the list was confirmed"
    if kind is AskKind.MORE:
        return _more(desk, work, (customer, week), ask, word.bunches.get(place), (seq, word.override))
    if kind is AskKind.SKIP:
        orders = _orders(work.farm, customer)
        _write(
            desk,
            work,
            [Change(f"skip-{seq}-{number}", order.key, week, 0) for number, order in enumerate(orders, 1)],
            seq,
            override=word.override,
        )
        return "yes"
    order = next(line.order for line in work.farm.standing_lines if line.key == ask["line"])
    change = Change(f"change-{seq}-{place + 1}", order, week, ask["stems"], ask["line"])
    _write(desk, work, [change], seq, override=word.override)
    return "yes"


def _more(
    desk: Desk,
    work: UnitOfWork,
    who: tuple[str, Week],
    ask: Mapping[str, Any],
    bunches: int | None,
    how: tuple[int, bool],
) -> str:
    """More of a product becomes a one-off order of the bucket day, judged as every promise is."""
    (customer, week), (seq, override) = who, how
    wanted = ask["bunches"] if bunches is None else bunches
    if not 0 <= wanted <= ask["bunches"]:
        raise NotAccepted(where="bunches", found=str(wanted), accepted=f"0 to {ask['bunches']}, what was asked")
    if wanted == 0:
        return "not this time"
    farm = work.changed_farm
    product = Product.parse(ask["product"])
    stems = wanted * crops_of(farm)[product.variety].bunch_stems
    due = _usual_day(farm, customer, week)
    key, level = free_quote_key(farm, seq), farm.site.default_confidence
    today = desk.today()
    order = Order(key, customer, OrderKind.ONE_OFF, due, committed_on=today, status=OrderStatus.CONTRACTED)
    line = OrderLine(f"{key}-1", key, stems, product, promised_confidence=level)
    require_sound(farm, [order, line])
    verdict = judged(desk, work.farm, order, (line,), level)
    if not verdict.accepted and not override:
        raise PromiseRefused(order=key, verdict=verdict)
    work.put(order, entry=seq)
    work.put(line, entry=seq)
    work.promise(Promise(line.key, due, key, PromiseState.CONTRACTED, stems, level), entry=seq)
    return "yes" if wanted == ask["bunches"] else f"{wanted} bunches"


def _write(desk: Desk, work: UnitOfWork, rows: list[Row], seq: int, *, override: bool) -> None:
    for row in rows:
        require_sound(work.changed_farm, [row])
        change = judge_demand(desk, work.farm, row, override=override)
        work.put(row, entry=seq)
        if change is not None:
            keep_promises(work, change, entry=seq)


def _reply(work: UnitOfWork, number: int) -> Entry:
    entry = next((found for found in work.entries_of(REPLIED) if found.seq == number), None)
    if entry is None:
        raise NotFound(kind="answer", key=str(number))
    if any(found.facts["reply"] == number for found in work.entries_of(JUDGED)):
        raise NotAccepted(where="answer", found=f"{number}, which was judged", accepted="one that waits")
    return entry


def _orders(farm: Farm, customer: str) -> list[StandingOrder]:
    return [
        order for order in farm.standing_orders if order.customer == customer and order.status is StandingStatus.ACTIVE
    ]


def _weeks(farm: Farm, customer: str, first: Week, last: Week) -> Iterable[tuple[StandingOrder, Week]]:
    """The weeks of a pause in which each standing order runs."""
    for order in _orders(farm, customer):
        for week in weeks_between(max(first, order.first_week), min(last, order.last_week)):
            yield order, week


def _usual_day(farm: Farm, customer: str, week: Week) -> date:
    """The day on which a florist's stems usually leave in a week; the bucket day where she has no standing order."""
    orders = _orders(farm, customer)
    return week.day(orders[0].weekday if orders else farm.site.bucket_day)
