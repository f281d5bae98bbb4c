"""The journal as somebody reads it: newest first, in parts, each step in words with whether it can be taken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulm.errors import NotFound
from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.row_words import Names
from haulm.jobs.journal.entry_words import Told, principal, told
from haulm.jobs.journal.kinds import KINDS, QUIET
from haulm.jobs.journal.take_back_entry import why_not
from haulm.language.words import _, many
from haulm.store.history import PROMISES, History, Step, Thing
from haulm.store.words import PromiseState

PART = 25
"""So many steps make one part."""


@dataclass(frozen=True, slots=True)
class JournalLine:
    """A step of the journal.

    Attributes:
        seq: the place of the entry that says what it was.
        kind: the kind of that entry.
        at: when, in UTC, as ISO text.
        told: it in words.
        is_taken_back: whether it was taken back.
        may: whether it can be taken back now or, where it was taken back, be put back.
        why_not: why it cannot; empty where it can.
        first: the entries to take back first.
        costs: what taking it back, or putting it back, takes from somebody or gives.
    """

    seq: int
    kind: str
    at: str
    told: Told
    is_taken_back: bool
    may: bool
    why_not: str
    first: tuple[int, ...]
    costs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Journal:
    """A part of the journal: its lines, and the entry before which the next part begins (None: it ends here)."""

    lines: tuple[JournalLine, ...]
    before: int | None


@dataclass(frozen=True, slots=True)
class JournalAsked:
    """Which part of the journal is asked for.

    Attributes:
        before: entries before this one; None: the newest.
        about: a row, as collection and key, whose history is asked for; None: everything.
        whole: also what the service noted for itself.
        most: how many steps.
    """

    before: int | None = None
    about: Thing | None = None
    whole: bool = False
    most: int = PART


def read_journal(desk: Desk, asked: JournalAsked) -> Journal:
    """A part of the journal, newest first.

    Raises:
        FarmEmpty: there is no farm yet.
    """
    farm = desk.store.farm()
    history = History(desk.store.entries(), QUIET)
    steps = [step for step in reversed(history.steps.values()) if _is_asked(step, asked)]
    shown = steps[: asked.most]
    names = Names(farm, history.gone)
    lines = tuple(_line(desk, farm, names, history, step) for step in shown)
    return Journal(lines, shown[-1].entries[0].seq if len(steps) > len(shown) else None)


def read_entry(desk: Desk, seq: int) -> JournalLine:
    """One step of the journal, by one of its entries.

    Raises:
        FarmEmpty: there is no farm yet.
        NotFound: there is no such entry.
    """
    farm = desk.store.farm()
    history = History(desk.store.entries(), QUIET)
    step = history.step_of(seq)
    if step is None:
        raise NotFound(kind=_("entry"), key=str(seq))
    return _line(desk, farm, Names(farm, history.gone), history, step)


def _is_asked(step: Step, asked: JournalAsked) -> bool:
    if asked.before is not None and step.entries[0].seq >= asked.before:
        return False
    if asked.about is not None:
        subject = "/".join(asked.about)
        return asked.about in step.writes or any(entry.subject == subject for entry in step.entries)
    is_loud = any(entry.kind in KINDS and not KINDS[entry.kind].is_quiet for entry in step.entries)
    return asked.whole or is_loud or step.of is not None


def _line(desk: Desk, farm: Farm, names: Names, history: History, step: Step) -> JournalLine:
    entry = principal(step)
    by = history.taken_back_by(step)
    refusal = why_not(desk, farm, history, step)
    return JournalLine(
        seq=entry.seq,
        kind=entry.kind,
        at=entry.at_utc.isoformat(),
        told=told(farm, names, step),
        is_taken_back=by is not None,
        may=refusal is None,
        why_not="" if refusal is None else refusal.sentence,
        first=() if refusal is None else refusal.first,
        costs=tuple(_costs(names, step if by is None else by)),
    )


def _costs(names: Names, done: Step) -> Iterable[str]:
    """What undoing a step does to promises, and to stems that were moved."""
    whose = {order.key: order.customer for order in names.farm.orders}
    whose |= {order.key: order.customer for order in names.farm.standing_orders}
    for (what, _place), write in done.writes.items():
        if what != PROMISES:
            continue
        was, now = (_promised(row) for row in (write.before, write.after))
        row = write.after or write.before or {}
        name = names.customer(whose[row["order"]]) if row["order"] in whose else row["order"]
        if now > was:
            stems = many("{count} stem", "{count} stems", now - was)
            yield _("{stems} for {name} are promised no more.").format(stems=stems, name=name)
        elif was > now:
            stems = many("{count} stem", "{count} stems", was - now)
            yield _("{stems} for {name} are promised again, if they are still there.").format(stems=stems, name=name)
    moved = sum(item["stems"] for item in done.stems)
    if moved:
        yield many("{count} stem goes back where it was.", "{count} stems go back where they were.", moved)
    if letters := sum(len(entry.body.get("letters", ())) for entry in done.entries):
        yield many(
            "{count} letter went with it; if it has left, another one corrects it.",
            "{count} letters went with it; where they have left, others correct them.",
            letters,
        )


def _promised(row: object) -> int:
    """The stems that a record of the promises book keeps for somebody."""
    if not isinstance(row, dict):
        return 0
    kept = (PromiseState.HELD, PromiseState.CONTRACTED, PromiseState.SETTLED)
    return int(row["stems"]) if PromiseState(row["state"]) in kept else 0
