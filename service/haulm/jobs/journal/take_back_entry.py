"""Take back what was written in one go, or put it back again: the one way for every entry of the journal.

It is open while everything that was written still stands, its stems can go back where they came from, and demand that
comes back passes like a new promise. What was sent cannot be unsent: a letter corrects it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NoReturn

from haulm.errors import NotFound
from haulm.farm.cross_checks import cross_faults
from haulm.farm.faults import Fault
from haulm.farm.orders import Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED, keep_floors
from haulm.jobs.farm.row_words import Names
from haulm.jobs.journal.correct_letters import correct_letters
from haulm.jobs.journal.entry_words import day_of, principal, told
from haulm.jobs.journal.kinds import KINDS, QUIET
from haulm.jobs.journal.refusals import NotTakenBack
from haulm.jobs.journal.undo import floors_before, settled_after, undone_farm, write_undone
from haulm.jobs.promises.judge_together import asked_more, judge_together, refused
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from haulm.language.words import _
from haulm.store.errors import StemsNotThere
from haulm.store.history import PROMISES, PUT_BACK, SITE, TAKEN_BACK, History, Step
from haulm.store.journal import posting_from_json
from haulm.store.rows import COLLECTIONS
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

DELIVERED = "bucket-list-delivered"


@dataclass(frozen=True, slots=True)
class TakenBack:
    """A step that was taken back or put back: its entries, the entry that did it, and the letters that correct it."""

    entries: tuple[int, ...]
    by: int
    is_put_back: bool
    letters: int


def take_back_entry(desk: Desk, work: UnitOfWork, seq: int) -> TakenBack:
    """Take back what an entry wrote, together with all that was written in the same go.

    Raises:
        NotFound: there is no such entry.
        NotTakenBack: it is taken back already, something rests on it, or it never can be.
    """
    history = History(work.entries(), QUIET)
    step = _step(history, seq)
    if history.taken_back_by(step) is not None:
        _refuse(step, _("It is taken back already."))
    return _undo(desk, work, history, (step, step))


def put_back_entry(desk: Desk, work: UnitOfWork, seq: int) -> TakenBack:
    """Put back what was taken back, named by the entry itself.

    Raises:
        NotFound: there is no such entry.
        NotTakenBack: it was not taken back, or something was written since that it would overwrite.
    """
    history = History(work.entries(), QUIET)
    step = _step(history, seq)
    by = history.taken_back_by(step)
    if by is None:
        _refuse(step, _("It stands; it was not taken back."))
    return _undo(desk, work, history, (step, by))


def why_not(desk: Desk, farm: Farm, history: History, step: Step) -> NotTakenBack | None:
    """Why a step cannot be taken back, or put back, as far as that is told without judging demand; else None."""
    by = history.taken_back_by(step)
    try:
        _require_open(desk, farm, history, (step, step if by is None else by))
    except NotTakenBack as refusal:
        return refusal
    return None


def _step(history: History, seq: int) -> Step:
    step = history.step_of(seq)
    if step is None:
        raise NotFound(kind=_("entry"), key=str(seq))
    return step


def _undo(desk: Desk, work: UnitOfWork, history: History, steps: tuple[Step, Step]) -> TakenBack:
    """Undo the second of two steps: the one asked for, or the one that took it back."""
    step, done = steps
    farm, is_put_back = work.farm, step is not done
    _require_open(desk, farm, history, steps)
    after = undone_farm(farm, done)
    _require_sound(history, farm, after, steps)
    kind = PUT_BACK if is_put_back else TAKEN_BACK
    asks_more = {PROMISED: True} if asked_more(desk, farm, after) else {}
    made = [work.enter(kind, entry.subject, asks_more, corrects=entry.seq) for entry in step.entries]
    first = made[0]
    try:
        write_undone(work, done, entry=first)
    except StemsNotThere:
        _refuse(step, *_stems_gone(history, farm, done))
    found = judge_together(desk, farm, after, settled_after(desk, work, done))
    if refused(found):
        _refuse(step, _went_to(history, farm, step, refused(found)))
    if done.floors or found:
        plan = desk.plan_of(farm)
        work.keep_floors(list(floors_before(done, plan)), entry=first)
        for one in found:
            keep_floors(desk, work, plan, one.verdict, entry=first)
    letters = correct_letters(work, step, done, entry=first)
    return TakenBack(tuple(entry.seq for entry in step.entries), first, is_put_back, letters)


def _require_open(desk: Desk, farm: Farm, history: History, steps: tuple[Step, Step]) -> None:
    step, done = steps
    for entry in step.entries:
        kind = KINDS.get(entry.kind)
        if kind is None or (kind.why_not and not (kind.is_quiet and _is_beside(step))):
            _refuse(step, _(kind.why_not) if kind is not None else _("It was written by another release."))
        if entry.kind == DELIVERED and day_of(farm, entry.at_utc) < desk.today():
            _refuse(step, _("The van left on another day; say what was wrong with the delivery instead."))
    site = done.writes.get((SITE, ""))
    if site is not None and site.before is None:
        _refuse(step, _("The farm begins with it; there is nothing before."))
    if done.has_people:
        gone = _("A name or an address was changed or erased with it, and the journal holds none; write it anew.")
        _refuse(step, gone)
    if first := history.in_the_way(step):
        _refuse(step, _first(farm, history, first), [principal(one).seq for one in first])


def _is_beside(step: Step) -> bool:
    """Whether a step is more than a note of the service's own."""
    return any(entry.kind in KINDS and not KINDS[entry.kind].is_quiet for entry in step.entries)


def _first(farm: Farm, history: History, steps: Iterable[Step]) -> str:
    """The sentence that names what has to be taken back before."""
    names = Names(farm, history.gone)
    said = [told(farm, names, one).sentence for one in steps]
    return _("First take back: {entries}.").format(entries="; ".join(said))


def _stems_gone(history: History, farm: Farm, done: Step) -> tuple[str, list[int]]:
    """Why stems cannot go back, and the entries that took them on."""
    piles = {(one.source, one.product, one.account_to) for one in map(posting_from_json, done.stems)}
    took = [
        step
        for step in history.in_force()
        if step.version > done.version
        and any((one.source, one.product, one.account_from) in piles for one in map(posting_from_json, step.stems))
    ]
    if not took:
        return _("The stems are no longer where they were put."), []
    return _first(farm, history, took[::-1]), [principal(one).seq for one in took[::-1]]


def _require_sound(history: History, farm: Farm, after: Farm, steps: tuple[Step, Step]) -> None:
    """Refuse where another row would name one that is gone, and say who wrote it."""
    faults = cross_faults(after, sound=farm)
    if not faults:
        return
    step, done = steps
    found = {one.version: one for fault in faults for one in _behind(history, after, done, fault)}
    if not found:
        _refuse(step, _("The farm would not fit together any more: {fault}").format(fault=faults[0]))
    first = [found[version] for version in sorted(found, reverse=True)]
    _refuse(step, _first(farm, history, first), [principal(one).seq for one in first])


def _behind(history: History, after: Farm, done: Step, fault: Fault) -> Iterator[Step]:
    """The steps behind a fault: who wrote the row that names what is gone, or who took that out."""
    if fault.row is None or fault.place not in COLLECTIONS:
        return
    row = getattr(after, fault.place)[fault.row]
    things = [(fault.place, COLLECTIONS[fault.place].key(row))]
    things += [(name, fault.found.strip("'")) for name in COLLECTIONS]
    for thing in things:
        last = history.last_of(thing)
        if last is not None and last.version > done.version:
            yield last
            return


def _went_to(history: History, farm: Farm, step: Step, judged: Sequence[Judged]) -> str:
    """To whom the stems went that an order would need again, and how sure it would be."""
    names = Names(farm, history.gone)
    customers = {fall.customer for one in judged for fall in one.verdict.falls}
    customers |= set(_promised_since(history, farm, step, judged))
    causes = " ".join(PromiseRefused(one).sentence for one in judged)
    if not customers:
        return causes
    whom = joined(sorted(names.customer(key) for key in customers), _("and"))
    return f"{_('The stems went to {whom}.').format(whom=whom)} {causes}"


def _promised_since(history: History, farm: Farm, step: Step, judged: Sequence[Judged]) -> Iterator[str]:
    """The customers who were promised the same kinds after a step."""
    back = {order.order for order in judged}
    wanted = {str(line.product) for one in judged for line in one.trial.lines_of(one.order) if line.product}
    lines: Iterable[OrderLine | StandingLine] = (*farm.order_lines, *farm.standing_lines)
    product = {line.key: str(line.product) for line in lines}
    orders: Iterable[Order | StandingOrder] = (*farm.orders, *farm.standing_orders)
    whose = {order.key: order.customer for order in orders}
    for later in history.in_force():
        for (what, _place), write in later.writes.items() if later.version > step.version else ():
            if what == PROMISES and write.after is not None and PromiseState(write.after["state"]).is_open:
                order = write.after["order"]
                if order not in back and order in whose and product.get(write.after["line"]) in wanted:
                    yield whose[order]


def _refuse(step: Step, why: str, first: Sequence[int] = ()) -> NoReturn:
    raise NotTakenBack(entry=principal(step).seq, why=why, first=first)
