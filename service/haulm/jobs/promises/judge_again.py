"""Judge the promises of the journal again: which would be answered otherwise by the rule that holds now."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from haulm.advice.acceptance import verdict
from haulm.advice.floors import Floors, Kept
from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass
from haulm.jobs.desk.desk import Desk, settled_by, settled_lines
from haulm.jobs.promises.judge_demand import asking_more, promise_of
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused, customer_in_words
from haulm.language.words import _, marked
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.store.journal import Entry, farms_along, rebuilt_books

_KINDS = ("held", "contracted", "quote-changed", "final-numbers", "reply-judged", "row-added", "row-changed")
_Lines = Mapping[tuple[str, date, bool], DatedLine]


class Otherwise(StrEnum):
    """How a promise would be answered otherwise."""

    ACCEPTED = marked("was accepted, and would be refused")
    REFUSED = marked("was refused and overridden, and would be accepted")


@dataclass(frozen=True, slots=True)
class JudgedAgain:
    """A promise that the rule that holds now answers otherwise.

    Attributes:
        entry: its place in the journal.
        on: the day on which it was made.
        order: key of the order.
        how: how it would be answered.
        sentence: whose it was, and why, in words.
    """

    entry: int
    on: date
    order: str
    how: Otherwise
    sentence: str


def judge_again(desk: Desk, progress: Callable[[int, int], object] = lambda done, of: None) -> Iterator[JudgedAgain]:
    """Every promise in the journal that would be answered otherwise, oldest first. Nothing is written.

    Each is judged on the farm, the books and the floors as they were just before it, on the day of its entry in the
    farm's zone. What an import brought was never judged, and what was refused and not overridden left no trace.

    Args:
        desk: the desk.
        progress: told how many entries of how many are done.
    """
    entries = desk.store.entries()
    # A planner of its own: farms between two entries of one version would be mistaken for that version.
    planner = Planner(desk.planner.drawing)
    floors = Floors()
    for place, (entry, before, after) in enumerate(farms_along(entries)):
        progress(place, len(entries))
        if before is None or after is None or not entry.body.get("changes"):
            continue
        found = None
        if entry.kind in _KINDS:
            found = _judged(planner, before, after, floors, (entry, entries[:place]))
        floors = _floors_after(floors, found)
        if found is not None and (otherwise := _otherwise(desk, entry, found)) is not None:
            yield otherwise


def _judged(
    planner: Planner, before: Farm, after: Farm, floors: Floors, journal: tuple[Entry, tuple[Entry, ...]]
) -> Judged | None:
    """The judgement of an entry; None where it asks no more stems of anybody."""
    entry, earlier = journal
    day = entry.at_utc.astimezone(ZoneInfo(before.site.timezone)).date()
    more = asking_more(_asked(before, day), _asked(after, day))
    if not more:
        return None
    books = rebuilt_books(earlier)
    settled = settled_by(books.balances, settled_lines(books.promises))
    plan = planner.plan(replace(before, version=entry.seq), day, lambda: settled)
    trial = planner.trial(plan, after)
    order, is_dated = _order_of(more)
    promise = promise_of(order, more, trial.joint(order), is_dated=is_dated)
    return Judged(order, verdict(plan.moment, trial.moment, promise, floors), trial)


def _asked(farm: Farm, day: date) -> _Lines:
    return {(line.line, line.due, line.is_spare): line for line in demand(farm, day)}


def _order_of(more: list[DatedLine]) -> tuple[str, bool]:
    """The order that is promised something, and whether it is a dated one: only these have to be sure themselves."""
    dated = [line for line in more if line.line_class is not LineClass.STANDING]
    return (dated[0].order, True) if dated else (more[0].order, False)


def _floors_after(floors: Floors, found: Judged | None) -> Floors:
    """The floors after an entry: an accepted promise leaves them where they are, anything else lets them follow."""
    if found is None or not found.verdict.accepted:
        return Floors({what: Kept(kept.debt) for what, kept in floors.kept.items() if kept.debt})
    anew = {sure.what for sure in found.verdict.promised}
    stays = {what: kept for what, kept in floors.kept.items() if what not in anew}
    return Floors({**stays, **found.verdict.kept})


def _otherwise(desk: Desk, entry: Entry, found: Judged) -> JudgedAgain | None:
    was_refused = bool(entry.facts.get("overridden"))
    if was_refused is not found.verdict.accepted:
        return None
    how = Otherwise.REFUSED if was_refused else Otherwise.ACCEPTED
    trial = _with_names(desk, found.trial)
    day = entry.at_utc.astimezone(ZoneInfo(trial.farm.site.timezone)).date()
    return JudgedAgain(entry.seq, day, found.order, how, _sentence(replace(found, trial=trial), day, how))


def _sentence(found: Judged, day: date, how: Otherwise) -> str:
    """Whose promise it was, on which day, and what stands against it."""
    lines: tuple[DatedLine, ...] = tuple(one.line for one in found.verdict.new)
    whose = _(" of {customer}").format(customer=customer_in_words(lines[0].customer, found.trial)) if lines else ""
    said = _("{day}, order {order}{whose}: {how}.").format(
        day=day_in_words(day), order=found.order, whose=whose, how=_(how)
    )
    return said if how is Otherwise.REFUSED else f"{said} {PromiseRefused(found).sentence}"


def _with_names(desk: Desk, plan: Plan) -> Plan:
    """The plan with the names of customers, which the journal does not hold."""
    names = {customer.key: customer for customer in desk.store.farm().customers}
    customers = tuple(names.get(customer.key, customer) for customer in plan.farm.customers)
    return plan.of_version(replace(plan.farm, customers=customers))
