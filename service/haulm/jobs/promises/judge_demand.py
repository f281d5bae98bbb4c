"""New demand that comes in as a row, and not by a quote's steps: judged by the match, and kept in the promises book.

A row asks more than before where it makes a dated line that was not there, one that asks more stems, or one that asks
something else. Dated orders are judged as a hold is: sure enough, and nobody promised before may fall. Standing orders
are judged by the second half only: what they themselves lack is what the early warning is for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.acceptance import NewPromise, Verdict
from haulm.advice.floors import Guarded
from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.errors import NotAccepted
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Change, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED, floors_of, judged, keep_floors
from haulm.jobs.desk.served_days import check_day_served
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused, override_facts
from haulm.jobs.quotes.smaller_orders import sizes_of_lines
from haulm.language.words import _
from haulm.store.journal import Promise
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

AskingRow = Order | OrderLine | StandingOrder | StandingLine | Change
_Lines = Mapping[tuple[str, date, bool], DatedLine]
_STEPS = {OrderStatus.ON_HOLD: "hold", OrderStatus.CONTRACTED: "contract"}


@dataclass(frozen=True, slots=True)
class DemandChange:
    """What an order asks before and after a row is written.

    Attributes:
        order: its key.
        before, after: its lines.
        verdict: the judgement, where it asks more or a floor has to begin anew; else None.
        override: the owner's reason to write it in spite of a refusal, or None.
        is_promise: whether it asks more, and was accepted.
    """

    order: str
    before: _Lines
    after: _Lines
    verdict: Verdict | None
    override: str | None = None
    is_promise: bool = False

    @property
    def facts(self) -> dict[str, object]:
        """What the entry says of a judgement: that it was accepted, or what an override takes; else nothing."""
        return {PROMISED: True} if self.is_promise else override_facts(self.verdict, self.override)


def judge_demand(desk: Desk, farm: Farm, row: Row, *, override: str | None) -> DemandChange | None:
    """What a row that is about to be written asks; None where its kind asks for nothing.

    Raises:
        NotAccepted: the row would hold or contract an order, which is a step of its own.
        DayNotServed: no cut day can serve a line that is new.
        PromiseRefused: a dated order is less sure than promised, or an earlier promise would fall, and `override`
            gives no reason.
    """
    if not isinstance(row, AskingRow):
        return None
    if isinstance(row, Order):
        _check_step(farm, row)
    order = order_of(row)
    before, after = _asked(desk, farm, order), _asked(desk, with_rows(farm, [row]), order)
    more = asking_more(before, after)
    if not more:
        return DemandChange(order, before, after, _promised_less(desk, farm, row, (before, after)))
    crops = desk.plan_of(farm).crops
    for key, line in after.items():
        if key not in before or _asks_else(line, before[key]):
            check_day_served(farm.site, crops, line, line.due)
    found = _judged_row(desk, farm, row, order, more)
    if not found.verdict.accepted and override is None:
        raise PromiseRefused(_with_other_numbers(desk, farm, row, found))
    return DemandChange(order, before, after, found.verdict, override, is_promise=found.verdict.accepted)


def judge_taken_out(desk: Desk, farm: Farm, without: Farm, row: Row, *, override: str | None) -> DemandChange | None:
    """What it asks that a row is taken out; None where its kind asks for nothing.

    A week that was skipped and is not any more asks for stems again, and is judged like any that ask more.

    Args:
        desk: the desk.
        farm: the farm with the row.
        without: the same without it, and without what belongs to it.
        row: what is taken out.
        override: the owner's reason to do it though an earlier promise would fall, or None.

    Raises:
        PromiseRefused: an earlier promise would fall, and `override` gives no reason.
    """
    if not isinstance(row, AskingRow):
        return None
    order = order_of(row)
    before, after = _asked(desk, farm, order), _asked(desk, without, order)
    more = asking_more(before, after)
    if not more:
        return DemandChange(order, before, after, None)
    plan = desk.plan_of(farm)
    trial = desk.planner.trial(plan, without)
    promise = promise_of(order, more, trial.joint(order), is_dated=_is_dated(row))
    found = Judged(order, judged(desk, plan, trial, promise), trial)
    if not found.verdict.accepted and override is None:
        raise PromiseRefused(found)
    return DemandChange(order, before, after, found.verdict, override, is_promise=found.verdict.accepted)


def order_of(row: AskingRow) -> str:
    """The key of the order that a row is, or belongs to."""
    return row.key if isinstance(row, Order | StandingOrder) else row.order


def keep_promises(desk: Desk, work: UnitOfWork, change: DemandChange, *, entry: int) -> None:
    """Follow an order's change in the promises book: other numbers, another day, or nothing any more, and floors."""
    if change.verdict is not None:
        keep_floors(desk, work, desk.plan_of(work.farm), change.verdict, entry=entry)
    order = next((order for order in work.changed_farm.orders if order.key == change.order), None)
    if order is None:
        return
    gone = PromiseState.DELIVERED if order.status is OrderStatus.DELIVERED else PromiseState.RELEASED
    for key, line in change.before.items():
        if key not in change.after and not line.is_spare and _is_open(work, line):
            work.promise(Promise(line.line, line.due, order.key, gone, line.stems), entry=entry)
    state = PromiseState.HELD if order.status is OrderStatus.ON_HOLD else PromiseState.CONTRACTED
    for key, line in change.after.items():
        if change.before.get(key) != line and not line.is_spare:
            now = Promise(line.line, line.due, order.key, state, line.stems, line.promised_confidence)
            work.promise(now, entry=entry)


def _check_step(farm: Farm, row: Order) -> None:
    was = next((order.status for order in farm.orders if order.key == row.key), None)
    if row.status in _STEPS and row.status is not was:
        route = _("POST /v1/quotes/{key}/{step}, which asks the match first").format(
            key=row.key, step=_STEPS[row.status]
        )
        accepted = route if was is not None else _("'quoted', then {route}").format(route=route)
        raise NotAccepted(where="status", found=f"'{row.status}'", accepted=accepted)


def _asked(desk: Desk, farm: Farm, order: str) -> _Lines:
    lines = (line for line in demand(farm, desk.today()) if line.order == order)
    return {(line.line, line.due, line.is_spare): line for line in lines}


def asking_more(before: _Lines, after: _Lines) -> list[DatedLine]:
    """The lines that ask more than before: new ones, more stems, something else, or a higher level."""
    return [line for key, line in after.items() if _asks_more(line, before.get(key))]


def _asks_more(line: DatedLine, before: DatedLine | None) -> bool:
    if before is None or line.stems > before.stems or _asks_else(line, before):
        return True
    return (line.promised_confidence or 0) > (before.promised_confidence or 0)


def _asks_else(line: DatedLine, before: DatedLine) -> bool:
    """Whether anything but the amounts and the level differs."""
    same = replace(before, stems=line.stems, minimum=line.minimum, promised_confidence=line.promised_confidence)
    return same != line


def _judged_row(desk: Desk, farm: Farm, row: AskingRow, order: str, more: list[DatedLine]) -> Judged:
    plan = desk.plan_of(farm)
    trial = desk.planner.trial(plan, with_rows(farm, [row]))
    promise = promise_of(order, more, trial.joint(order), is_dated=_is_dated(row))
    return Judged(order, judged(desk, plan, trial, promise), trial)


def _with_other_numbers(desk: Desk, farm: Farm, row: AskingRow, found: Judged) -> Judged:
    """The judgement with that of other numbers: of stems where the row asks them, of sizes where it is an order."""
    if isinstance(row, Order):
        level = found.verdict.level
        return replace(found, sizes=sizes_of_lines(desk, desk.plan_of(farm), found.trial, row, level))
    if isinstance(row, StandingOrder):
        return found
    before = _asked(desk, farm, found.order)

    def judge(stems: int) -> Verdict:
        other = _with_stems(row, stems)
        after = _asked(desk, with_rows(farm, [other]), found.order)
        return _judged_row(desk, farm, other, found.order, asking_more(before, after)).verdict

    return replace(found, stems=row.stems, judge=judge)


def _with_stems(row: OrderLine | StandingLine | Change, stems: int) -> OrderLine | StandingLine | Change:
    if isinstance(row, Change):
        return replace(row, stems=stems)
    return replace(row, stems=stems, minimum=min(row.minimum, stems))


def _promised_less(desk: Desk, farm: Farm, row: AskingRow, asked: tuple[_Lines, _Lines]) -> Verdict | None:
    """What is promised anew where nobody has to judge it: a line that asks fewer stems, if its floor owes anything.

    A changed count is promised anew, so that what promises took from the floor of the old one, or of its delivery, is
    owed no more.
    """
    before, after = asked
    less = [line for key, line in after.items() if key in before and line.stems != before[key].stems]
    floors = floors_of(desk, desk.plan_of(farm))
    counts = [line for line in less if not line.is_spare]
    if not any(map(floors.debt_of, _guards(counts))):
        return None
    found = _judged_row(desk, farm, row, less[0].order, less).verdict
    return replace(found, level=0.0, new=(), joint=1.0, falls=(), displaced=(), kept={})


def _guards(lines: Iterable[DatedLine]) -> Iterator[Guarded]:
    """What guards some lines: each by itself, its part of an order, and the delivery as a whole."""
    for line in lines:
        yield from (Guarded(line.order, line.due, line.line), Guarded(line.order, line.due))
        if line.part is not None:
            yield Guarded(line.order, line.due, part=line.part)


def promise_of(order: str, more: list[DatedLine], joint: float, *, is_dated: bool) -> NewPromise:
    """What is promised anew; spare is promised to nobody, so an order that asks more spare alone need not be surer."""
    lines = [line for line in more if not line.is_spare]
    level = max((line.level for line in lines), default=0.0) if is_dated else 0.0
    return NewPromise(order, level, joint if lines else 1.0, frozenset((line.line, line.due) for line in lines))


def _is_dated(row: AskingRow) -> bool:
    return isinstance(row, Order | OrderLine)


def _is_open(work: UnitOfWork, line: DatedLine) -> bool:
    return any(found.state.is_open for found in work.promises(line.line, line.due)[-1:])
