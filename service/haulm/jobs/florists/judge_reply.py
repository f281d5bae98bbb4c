"""The grower's word on a florist's answer: accepted, trimmed or declined; nobody's promise falls by it in silence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from haulm.advice.acceptance import NewPromise, Verdict
from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.edits import Row, with_rows
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import Change, Order, OrderLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.quantities import percent
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, weeks_between
from haulm.farm.words import OrderKind, OrderStatus, StandingStatus
from haulm.jobs.bucket_day.bucket_lines import DeliveryKey
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, settled_deliveries
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of, judged, keep_floors
from haulm.jobs.desk.served_days import check_day_served
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.florists.florist_page import REPLIED
from haulm.jobs.florists.reply_to_list import (
    JUDGED,
    OF_DELIVERY,
    AskKind,
    ask_in_words,
    orders_of_day,
    standing_answers,
)
from haulm.jobs.promises.end_quote import cancel_quote
from haulm.jobs.promises.quote_wedding import free_quote_key
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused, fall_shown, override_facts
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.planning.may_promise import LineAsked, judge_of
from haulm.planning.plan import Plan
from haulm.store.journal import Entry, Promise
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

_OPEN = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


@dataclass(frozen=True, slots=True)
class Word:
    """The grower's word on one answer.

    Attributes:
        reply: the number of the answer.
        accept: whether it is accepted; what it asks is left as it is otherwise.
        bunches: fewer bunches than asked, by the place of the ask; those not named are as asked.
        note: a word to the florist.
        override: why to accept though an earlier promise would fall; None: it is refused.
    """

    reply: int
    accept: bool
    bunches: Mapping[int, int]
    note: str = ""
    override: str | None = None


@dataclass(frozen=True, slots=True)
class _Answer:
    """An answer that is being judged: whose, for which bucket day, whether that is past changing, what is settled."""

    customer: str
    day: date
    is_closed: bool
    settled: frozenset[DeliveryKey]
    seq: int


def judge_reply(desk: Desk, work: UnitOfWork, word: Word) -> tuple[str, ...]:
    """Judge an answer and write what follows from it; gives the outcome of each ask in words.

    All that an answer asks is judged together. What is settled is never touched by it, nor a week that is over: then
    only a pause of later weeks counts.

    Raises:
        NotFound: there is no such answer.
        NotAccepted: it was judged before, or is trimmed upwards.
        PromiseRefused: an earlier promise would fall, and nobody overrode it.
    """
    entry = _reply(work, word.reply)
    asks = entry.facts["asks"]
    if strange := sorted(set(word.bunches) - set(range(len(asks)))):
        raise NotAccepted(
            where="bunches",
            found=_("ask {strange}").format(strange=strange[0]),
            accepted=_("asks 0 to {last}").format(last=len(asks) - 1),
        )
    answer = _answer_of(desk, work.farm, entry, work.entries_of(*OF_SETTLED), work.next_seq)
    order = _order_for_more(desk, work.farm, answer)
    found = _outcomes(desk, work.farm, answer, order, (asks, word))
    _write(desk, work, order, [row for _, rows in found for row in rows], answer, word)
    outcomes = tuple(outcome for outcome, _ in found)
    _tell(work, answer, word, list(zip(asks, outcomes, strict=True)))
    return outcomes


@dataclass(frozen=True, slots=True)
class IfAccepted:
    """What accepting all of an answer would come to: what is said to each ask, and what it would cost."""

    outcomes: tuple[str, ...]
    cost: str


def if_accepted(desk: Desk, plan: Plan, entry: Entry, settled: Iterable[Entry]) -> IfAccepted:
    """What accepting an answer as it was given would come to; nothing is written, and nobody is named.

    Args:
        desk: the desk.
        plan: the farm's plan.
        entry: the answer.
        settled: the entries of what is settled (`OF_SETTLED`).
    """
    farm, asks = plan.farm, entry.facts["asks"]
    answer = _answer_of(desk, farm, entry, settled, entry.seq)
    order = _order_for_more(desk, farm, answer)
    found = _outcomes(desk, farm, answer, order, (asks, Word(entry.seq, accept=True, bunches={})))
    put_in = _put_in(order, [row for _, rows in found for row in rows])
    try:
        require_sound(farm, put_in)
        verdict = _judge(desk, farm, order, put_in, override="")
    except HaulmError as refusal:
        return IfAccepted(
            tuple(said for said, _ in found), _("is refused: {sentence}").format(sentence=refusal.sentence)
        )
    return IfAccepted(tuple(said for said, _ in found), _cost_in_words(verdict, plan))


def _cost_in_words(verdict: Verdict | None, plan: Plan) -> str:
    """What a promise would cost, in whole percent, so that the weather alone does not make it another cost."""
    if verdict is None or verdict.accepted:
        return _("costs nobody anything")
    if verdict.falls:
        return _("would take below what they keep: {falls}").format(
            falls="; ".join(fall_shown(fall, plan) for fall in verdict.falls)
        )
    least = min((one.confidence for one in verdict.unsure), default=verdict.joint)
    return _("would be {least} sure, and {level} is asked").format(least=percent(least), level=percent(verdict.level))


def _answer_of(desk: Desk, farm: Farm, entry: Entry, settled: Iterable[Entry], seq: int) -> _Answer:
    customer, day = entry.subject.partition("/")[2], date.fromisoformat(entry.facts["day"])
    gone = frozenset(settled_deliveries(settled))
    own = {(order.key, week.day(order.weekday)) for order, week in orders_of_day(farm, customer, day)}
    is_closed = _usual_day(farm, customer, day) < desk.today() or bool(own & gone)
    return _Answer(customer, day, is_closed, gone, seq)


def _outcomes(
    desk: Desk, farm: Farm, answer: _Answer, order: Order, said: tuple[Sequence[Mapping[str, Any]], Word]
) -> list[tuple[str, tuple[Row, ...]]]:
    """What is said to each ask by the grower's word, and the rows that follow from it."""
    asks, word = said
    return [_outcome(desk, farm, answer, order, _trimmed(ask, word, place)) for place, ask in enumerate(asks)]


def _put_in(order: Order, rows: list[Row]) -> list[Row]:
    """The rows with the order of its lines, where it has any."""
    return [order, *rows] if any(isinstance(row, OrderLine) for row in rows) else rows


def _trimmed(ask: Mapping[str, Any], word: Word, place: int) -> Mapping[str, Any]:
    """An ask with what the grower makes of it: `accepted`, the bunches that are `given`, and its place from 1."""
    if AskKind(ask["kind"]) is not AskKind.MORE:
        if place in word.bunches:
            raise NotAccepted(
                where="bunches",
                found=_("ask {place}, {kind}").format(place=place, kind=ask["kind"]),
                accepted=_("asks for more bunches"),
            )
        return {**ask, "place": place + 1, "accepted": word.accept}
    given = word.bunches.get(place, ask["bunches"])
    if not 0 <= given <= ask["bunches"]:
        raise NotAccepted(
            where="bunches",
            found=str(given),
            accepted=_("0 to {bunches}, what was asked").format(bunches=ask["bunches"]),
        )
    return {**ask, "place": place + 1, "accepted": word.accept and given > 0, "given": given}


def _outcome(
    desk: Desk, farm: Farm, answer: _Answer, order: Order, ask: Mapping[str, Any]
) -> tuple[str, tuple[Row, ...]]:
    """What is said to one ask, and the rows that follow from it."""
    kind = AskKind(ask["kind"])
    if kind is AskKind.YES:
        return _("thank you"), ()
    if kind in OF_DELIVERY:
        return _of_delivery(desk, farm, answer, ask)
    if not ask["accepted"]:
        return _("not this time; your standing order stands"), ()
    if kind is AskKind.PAUSE:
        return _pause(desk, farm, answer, Week.parse(ask["until"]))
    if answer.is_closed:
        return _("too late for this week"), ()
    if kind is AskKind.MORE:
        product = Product.parse(ask["product"])
        stems = ask["given"] * crops_of(farm)[product.variety].bunch_stems
        level = farm.site.level_of(order.kind.line_class)
        line = OrderLine(f"{order.key}-{ask['place']}", order.key, stems, product, promised_confidence=level)
        return (
            _("yes")
            if ask["given"] == ask["bunches"]
            else _("{given} of {bunches} bunches").format(given=ask["given"], bunches=ask["bunches"])
        ), (line,)
    running = orders_of_day(farm, answer.customer, answer.day)
    if kind is AskKind.SKIP:
        return _("yes"), tuple(row for which, week in running for row in _nothing(farm, which, week, answer.seq))
    return _change(farm, running, answer.seq, ask)


def _of_delivery(desk: Desk, farm: Farm, answer: _Answer, ask: Mapping[str, Any]) -> tuple[str, tuple[Row, ...]]:
    """What is said to an answer to one delivery; to be released lets its stems go, where they are not packed yet."""
    kind, key = AskKind(ask["kind"]), (str(ask["order"]), date.fromisoformat(ask["due"]))
    if kind is AskKind.WAIT:
        return _("thank you"), ()
    if not ask["accepted"]:
        return _("not this time; it stays as it is"), ()
    if key in answer.settled or key[1] < desk.today():
        return _("too late: it is packed already"), ()
    if kind is AskKind.SOMETHING_ELSE:
        return _("yes, we look for something else"), ()
    standing = [order for order in farm.standing_orders if order.key == key[0]]
    dated = [order for order in farm.orders if order.key == key[0] and order.status in _OPEN]
    if not standing and not dated:
        return _("this order does not run any more"), ()
    rows = [row for order in standing for row in _nothing(farm, order, Week.of(key[1]), answer.seq)]
    return _("yes, you are released from it"), (*rows, *(replace(one, status=OrderStatus.CANCELLED) for one in dated))


def _change(
    farm: Farm, running: Iterable[tuple[StandingOrder, Week]], seq: int, ask: Mapping[str, Any]
) -> tuple[str, tuple[Row, ...]]:
    key = next((line.order for line in farm.standing_lines if line.key == ask["line"]), None)
    week = next((week for order, week in running if order.key == key), None)
    if key is None or week is None:
        return _("this line does not run any more"), ()
    return _("yes"), (Change(f"change-{seq}-{ask['place']}", key, week, ask["stems"], ask["line"]),)


def _pause(desk: Desk, farm: Farm, answer: _Answer, until: Week) -> tuple[str, tuple[Row, ...]]:
    """No stems from the first week that can still be changed to the last of the pause."""
    orders = [found for found in farm.standing_orders if found.customer == answer.customer]
    first = answer.day + timedelta(days=7 if answer.is_closed else 0)
    rows = [
        row
        for order in orders
        if order.status is StandingStatus.ACTIVE
        for week in weeks_between(max(Week.of(first), order.first_week), min(until, order.last_week))
        if max(first, desk.today()) <= week.day(order.weekday)
        and (order.key, week.day(order.weekday)) not in answer.settled
        for row in _nothing(farm, order, week, answer.seq)
    ]
    return (_("yes") if rows else _("too late for this week")), tuple(rows)


def _nothing(farm: Farm, order: StandingOrder, week: Week, seq: int) -> Iterable[Row]:
    """The changes that leave out a week: of the order, and of each line that has a number of its own in it."""
    own = {found.line for found in farm.changes if found.order == order.key and found.week == week}
    for number, line in enumerate([None, *sorted(line for line in own if line is not None)]):
        yield Change(f"none-{seq}-{order.key}-{week}-{number}".lower(), order.key, week, 0, line)


def _order_for_more(desk: Desk, farm: Farm, answer: _Answer) -> Order:
    """The one-off order that more bunches become; of the day on which her stems usually leave."""
    due, key = _usual_day(farm, answer.customer, answer.day), free_quote_key(farm, answer.seq)
    return Order(key, answer.customer, OrderKind.ONE_OFF, due, committed_on=desk.today(), status=OrderStatus.CONTRACTED)


def _write(desk: Desk, work: UnitOfWork, order: Order, rows: list[Row], answer: _Answer, word: Word) -> None:
    lines = [row for row in rows if isinstance(row, OrderLine)]
    gone = [row.key for row in rows if isinstance(row, Order)]
    put_in = [row for row in _put_in(order, rows) if not (isinstance(row, Order) and row.key in gone)]
    require_sound(work.farm, put_in)
    found = _judge(desk, work.farm, order, put_in, override=word.override)
    facts = {"reply": word.reply, "accepted": word.accept, "note": word.note, **override_facts(found, word.override)}
    work.enter(JUDGED, f"customers/{answer.customer}", facts)
    for row in put_in:
        work.put(row, entry=answer.seq)
    for key in gone:
        cancel_quote(desk, work, key, reason=_("the customer asked to be released"))
    for line in lines:
        promised = Promise(
            line.key, order.due_date, order.key, PromiseState.CONTRACTED, line.stems, line.promised_confidence
        )
        work.promise(promised, entry=answer.seq)
    if found is not None:
        keep_floors(desk, work, desk.plan_of(work.farm), found, entry=answer.seq)


def _judge(desk: Desk, farm: Farm, order: Order, rows: list[Row], *, override: str | None) -> Verdict | None:
    """Refuse where more bunches are not sure enough, or anybody's earlier promise would fall.

    A standing line that is changed is not judged itself, as everywhere: what it lacks is what the early warning is for.
    """
    plan = desk.plan_of(farm)
    lines = [row for row in rows if isinstance(row, OrderLine)]
    for line in lines:
        check_day_served(farm.site, plan.crops, line, order.due_date)
    changed = {(row.line, row.week) for row in rows if isinstance(row, Change) and row.stems}
    if not lines and not changed:
        return None
    trial = desk.planner.trial(plan, with_rows(farm, rows))
    dated = [line for line in trial.result.lines if not line.is_spare]
    own = {line.key for line in lines}
    anew = {(line.line, line.due) for line in dated if line.line in own or (line.line, Week.of(line.due)) in changed}
    level = max((line.promised_confidence or 0.0 for line in lines), default=0.0)
    joint = trial.joint(order.key) if lines else 1.0
    found = judged(desk, plan, trial, NewPromise(order.key, level, joint, frozenset(anew)))
    if not found.accepted and override is None:
        judged_so = Judged(order.key, found, trial)
        if len(lines) == 1 and not changed:
            one = LineAsked(order, lines[0], level, MOST_STEMS)
            judge = judge_of(desk.planner, plan, one, floors_of(desk, plan))
            judged_so = replace(judged_so, stems=lines[0].stems, judge=judge)
        raise PromiseRefused(judged_so)
    return found


def _tell(work: UnitOfWork, answer: _Answer, word: Word, said: list[tuple[Mapping[str, Any], str]]) -> None:
    """Queue the letter with the outcome of each ask, where there is an address."""
    if not any(found.key == answer.customer and found.email for found in work.farm.customers):
        return
    asks = [{"sentence": ask_in_words(ask, work.farm), "outcome": outcome} for ask, outcome in said]
    facts = {"farm": work.farm.site.name, "monday": answer.day.isoformat(), "note": word.note, "asks": asks}
    work.send(Letter(JUDGED, answer.customer, facts, f"{JUDGED}/{word.reply}"))


def _reply(work: UnitOfWork, number: int) -> Entry:
    entries = work.entries_of(REPLIED)
    entry = next((found for found in entries if found.seq == number), None)
    if entry is None:
        raise NotFound(kind=_("answer"), key=str(number))
    if number not in standing_answers(entries):
        raise NotAccepted(
            where="answer",
            found=_("{number}, which a later one replaced").format(number=number),
            accepted=_("one that waits"),
        )
    if any(found.facts["reply"] == number for found in work.entries_of(JUDGED)):
        raise NotAccepted(
            where="answer", found=_("{number}, which was judged").format(number=number), accepted=_("one that waits")
        )
    return entry


def _usual_day(farm: Farm, customer: str, day: date) -> date:
    """The day on which a florist's stems leave of a bucket day; the bucket day itself where nothing of hers runs."""
    return min((week.day(order.weekday) for order, week in orders_of_day(farm, customer, day)), default=day)
