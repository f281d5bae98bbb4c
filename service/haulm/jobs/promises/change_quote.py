"""Change a quote: a new version beside those before it; what is held or contracted is judged by the acceptance rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.acceptance import Verdict
from haulm.advice.homes import homes_in_words
from haulm.errors import HaulmError
from haulm.farm.edits import Row, with_rows
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import Home, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of, keep_floors
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.hold_quote import lines_of, order_named, promise_facts
from haulm.jobs.promises.parts_kept import anew_in, parts_after, places_kept
from haulm.jobs.promises.quote_wedding import facts, new_customer, new_order
from haulm.jobs.promises.show_quote import is_lapsed
from haulm.jobs.promises.tell_places import with_places
from haulm.jobs.quotes.answer import Answered, QuoteAsked, answered, drafted, held_today
from haulm.jobs.quotes.draft import with_ways
from haulm.jobs.quotes.kinds_told import decided_since
from haulm.jobs.quotes.order_parts import TwoParts, draft_of_parts, verdict_of
from haulm.jobs.quotes.prices import priced_answer
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from haulm.jobs.quotes.refusals import HoldExpired, NotAQuote
from haulm.jobs.quotes.smaller_orders import sizes_of_asked
from haulm.jobs.quotes.version import VERSION_KINDS, QuoteVersion, versions_of
from haulm.jobs.quotes.written import version_of
from haulm.language.words import _
from haulm.planning.may_promise import LineAsked, judge_of
from haulm.planning.plan import Plan
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

_STATES = {
    OrderStatus.QUOTED: PromiseState.ASKED,
    OrderStatus.ON_HOLD: PromiseState.HELD,
    OrderStatus.CONTRACTED: PromiseState.CONTRACTED,
}


@dataclass(frozen=True, slots=True)
class QuoteChanged:
    """A quote that was changed: the order as it stands, its new version, and the judgement where it holds stems."""

    order: Order
    version: QuoteVersion
    verdict: Verdict | None


@dataclass(frozen=True, slots=True)
class ChangeReady:
    """A quote that holds nothing as it would be changed, worked out for one version of the farm and one day.

    Attributes:
        at: the version and the day.
        asked: what is asked.
        answer: the answer to it.
    """

    at: tuple[int, date]
    asked: QuoteAsked
    answer: _Answer


def change_ready(desk: Desk, key: str, asked: QuoteAsked) -> ChangeReady | None:
    """The change of a quote that holds nothing, worked out before anybody has to wait for the farm; else None."""
    try:
        farm = desk.store.farm()
        order = _open_order(farm, key, desk.today())
        if _holds_stems(order):
            return None
        answer = _answered_now(desk, (farm, farm), order, _in_full(order, asked), None)
        return ChangeReady((farm.version, desk.today()), _in_full(order, asked), answer)
    except HaulmError:
        return None  # the step that writes it says why


def change_quote(
    desk: Desk,
    work: UnitOfWork,
    key: str,
    asked: QuoteAsked,
    *,
    override: str | None = None,
    ready: ChangeReady | None = None,
) -> QuoteChanged:
    """Write another version of a quote; the one before stays in the journal as it was.

    Args:
        desk: the desk.
        work: the unit of work.
        key: the order.
        asked: what is asked for now, all of it.
        override: the reason to write it in spite of a refusal; None: it is refused.
        ready: the change worked out before; where the farm or the day is another by now, it is worked out anew.

    Raises:
        NotFound, NotAQuote, HoldExpired: the quote cannot be changed any more.
        DatePassed, DayNotServed, NothingInSeason, NotAccepted: what is asked cannot be answered.
        PromiseRefused: it holds stems, and the change is less sure than asked or an earlier promise would fall.
    """
    order = _open_order(work.farm, key, desk.today())
    return _changed(desk, work, order, _Change(_in_full(order, asked), "quote-changed", override, ready))


def change_to_final(
    desk: Desk, work: UnitOfWork, key: str, asked: QuoteAsked, *, override: str | None = None
) -> QuoteChanged:
    """As `change_quote`, for the final numbers.

    Raises:
        NotFound, NotAQuote, HoldExpired, DatePassed, DayNotServed, NothingInSeason, NotAccepted, PromiseRefused: as
            there.
    """
    order = _open_order(work.farm, key, desk.today())
    return _changed(desk, work, order, _Change(_in_full(order, asked), "final-numbers", override))


@dataclass(frozen=True, slots=True)
class _Change:
    """What is asked, the entry it makes, the reason to write it in spite of a refusal, and the answer, if ready."""

    asked: QuoteAsked
    entry: str
    override: str | None = None
    ready: ChangeReady | None = None


def _changed(desk: Desk, work: UnitOfWork, order: Order, change: _Change) -> QuoteChanged:
    farm, asked, ready = work.farm, change.asked, change.ready
    about = f"orders/{order.key}"
    before = versions_of(work.entries_of(*VERSION_KINDS, about=about))
    last = before[-1] if before else None
    now = (farm.version, desk.today())
    if ready is not None and work.changed_farm is farm and (ready.at, ready.asked) == (now, asked):
        answer = ready.answer
    else:
        answer = _answered_now(desk, (farm, work.changed_farm), order, asked, last)
    said = _judged(desk, farm, order, (answer, asked), change.override) if _holds_stems(order) else None
    version = replace(answer.version, number=len(before) + 1)
    version = replace(version, changed=tuple(differences(last, version)))
    found = answer.found
    written = replace(answer.order, due_date=found.order.due_date, final_numbers_date=found.order.final_numbers_date)
    judgement = {} if said is None else promise_facts(written, said, change.override)
    seq = work.enter(change.entry, about, {**facts(version, asked), **judgement})
    write_order(work, order, written, found, entry=seq)
    if said is not None:
        keep_floors(desk, work, desk.plan_of(farm), said, entry=seq)
    return QuoteChanged(written, version, said)


@dataclass(frozen=True, slots=True)
class _Answer:
    """The answer to a change: the order as it would be, what was found, its two parts, and the version that says it."""

    order: Order
    found: Answered
    parts: TwoParts | None
    version: QuoteVersion


def _answered_now(
    desk: Desk, farms: tuple[Farm, Farm], order: Order, asked: QuoteAsked, last: QuoteVersion | None
) -> _Answer:
    """The answer to what is asked now.

    Args:
        desk: the desk.
        farms: the farm as it was read, and with what was written since.
        order: the order as it stands.
        asked: what is asked.
        last: its last version.
    """
    farm, changed = farms
    today, key = desk.today(), order.key
    now = _order_now(order, new_order(farm, asked, today, key))
    base = desk.planner.trial(desk.plan_of(farm), _without(changed, order))
    parts = parts_after(farm, order, last, asked) if _holds_stems(order) else None
    draft = drafted(base, asked, key) if parts is None else draft_of_parts(base, asked, key, parts)
    rows, ways = with_ways([now], draft)
    require_sound(base.farm, rows, ways if parts is None else ())
    found = answered(desk, base, asked, now if _holds_stems(now) else held_today(now, today), draft)
    found = priced_answer(found, lines_of(farm, key) if _holds_stems(order) else (), today=today)
    version = version_of(found, asked, number=1, today=today)
    if not _holds_stems(order):
        version = with_places(desk, base, found, asked, version)
    elif parts is not None and last is not None and last.places is not None:
        version = replace(version, places=places_kept(found, asked, parts, last.places))
    return _Answer(now, found, parts, version)


def _in_full(order: Order, asked: QuoteAsked) -> QuoteAsked:
    """What is asked, for whom and for what the order is."""
    return replace(asked, customer=asked.customer or order.customer, kind=order.kind)


def differences(before: QuoteVersion | None, now: QuoteVersion) -> Iterator[str]:
    """What changed between two versions, in sentences."""
    if before is None:
        yield _("Written out as a quote.")
        return
    for name, old, new in (
        (_("Day"), before.event_date, now.event_date),
        (_("Stems leave"), before.due_date, now.due_date),
        (_("Palette"), before.palette or _("any"), now.palette or _("any")),
        (_("Stems"), before.stems, now.stems),
        (_("Spare"), before.spare, now.spare),
        (_("Own arranging"), before.own_arranging, now.own_arranging),
        (_("Dried stems accepted"), before.dried_ok, now.dried_ok),
        (_("No substitutes"), before.no_substitute, now.no_substitute),
        (_("Stand-ins for what is named"), before.stand_ins, now.stand_ins),
        (_("At home"), homes_in_words(map(Home, before.homes)), homes_in_words(map(Home, now.homes))),
        (_("Not wanted"), ", ".join(before.unacceptable) or _("none"), ", ".join(now.unacceptable) or _("none")),
    ):
        if old != new:
            yield _("{name}: {now}, before {before}.").format(name=name, now=_word(new), before=_word(old))
    yield from decided_since(before, now)
    old_counts = {piece.piece: piece.count for piece in before.pieces}
    new_counts = {piece.piece: piece.count for piece in now.pieces}
    for piece in dict.fromkeys((*old_counts, *new_counts)):
        old_count, new_count = old_counts.get(piece, 0), new_counts.get(piece, 0)
        if old_count != new_count:
            yield _("{piece}: {new_count}, before {old_count}.").format(
                piece=piece.replace("_", " ").capitalize(), new_count=new_count, old_count=old_count
            )


def _word(value: object) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def _open_order(farm: Farm, key: str, today: date) -> Order:
    order = order_named(farm, key)
    if order.status not in _STATES:
        accepted = _(" or ").join(map(str, _STATES))
        raise NotAQuote(order=key, status=str(order.status), step="change", accepted=accepted)
    if is_lapsed(order, today) and order.hold_until is not None:
        raise HoldExpired(order=key, until=order.hold_until)
    return order


def _holds_stems(order: Order) -> bool:
    return order.status is not OrderStatus.QUOTED


def _order_now(order: Order, fresh: Order) -> Order:
    """The order with what is asked now, at the step where it stands."""
    return replace(
        fresh,
        committed_on=order.committed_on,
        status=order.status,
        hold_until=order.hold_until,
        unacceptable=fresh.unacceptable or order.unacceptable,
    )


def _without(farm: Farm, order: Order) -> Farm:
    """The farm without the order and its lines."""
    return replace(
        farm,
        orders=tuple(other for other in farm.orders if other.key != order.key),
        order_lines=tuple(line for line in farm.order_lines if line.order != order.key),
    )


def _judged(desk: Desk, farm: Farm, before: Order, what: tuple[_Answer, QuoteAsked], override: str | None) -> Verdict:
    """The judgement of a change: of an order in two parts only the lines that it changes are promised anew."""
    answer, asked = what
    plan, found = desk.plan_of(farm), answer.found
    lines = [_promised(line, found.level) for line in found.draft.order_lines]
    trial = desk.planner.trial(plan, with_rows(found.trial.farm, lines))
    anew = None if answer.parts is None else anew_in(farm, before, found)
    said = verdict_of(desk, plan, trial, found.order, found.level, anew=anew)
    if not said.accepted and override is None:
        raise PromiseRefused(_with_other_numbers(desk, plan, found, asked, said))
    return said


def _with_other_numbers(desk: Desk, plan: Plan, found: Answered, asked: QuoteAsked, said: Verdict) -> Judged:
    """The judgement with that of other numbers: stems where the order asks one line, as it did before; else sizes."""
    key, lines = found.order.key, found.draft.order_lines
    if len(lines) != 1 or any(line.key != lines[0].key for line in lines_of(plan.farm, key)):
        return Judged(key, said, found.trial, sizes=sizes_of_asked(desk, plan, found.trial, found.order, asked))
    one = LineAsked(found.order, lines[0], found.level, MOST_STEMS, tuple(new_customer(plan.farm, found.order)))
    return Judged(key, said, found.trial, lines[0].stems, judge_of(desk.planner, plan, one, floors_of(desk, plan)))


def write_order(work: UnitOfWork, before: Order, now: Order, found: Answered, *, entry: int) -> None:
    """The order and its lines in the place of those before; the book of promises follows line by line."""
    holds = _holds_stems(now)
    lines = [_promised(line, found.level) if holds else line for line in found.draft.order_lines]
    kept = {line.key for line in lines}
    moved = before.due_date != now.due_date
    for line in lines_of(work.farm, before.key):
        if (moved or line.key not in kept) and _is_open(work, line, before.due_date):
            gone = Promise(line.key, before.due_date, before.key, PromiseState.RELEASED, line.stems)
            work.promise(gone, entry=entry)
        if line.key not in kept:
            work.remove("order_lines", line.key, entry=entry)
    rows: list[Row] = [now, *lines]
    for row in rows:
        work.put(row, entry=entry)
    _promise_lines(work, now, lines, found.level, entry=entry)


def _promise_lines(work: UnitOfWork, now: Order, lines: Iterable[OrderLine], level: float, *, entry: int) -> None:
    for line in lines:
        work.promise(Promise(line.key, now.due_date, now.key, _STATES[now.status], line.stems, level), entry=entry)


def _promised(line: OrderLine, level: float) -> OrderLine:
    return replace(line, promised_confidence=level)


def _is_open(work: UnitOfWork, line: OrderLine, due: date) -> bool:
    return any(found.state.is_open for found in work.promises(line.key, due)[-1:])
