"""Follow the floors after every write: what moved them is written down, and a fall that nothing explains is told."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.floors import POINT, Guarded, Kept, Sure
from haulm.jobs.desk import Desk
from haulm.jobs.judging import PROMISED, floor_row, floors_from, guarded
from haulm.jobs.promise_refused import promise_in_words
from haulm.planning.plan import Plan
from haulm.store.journal import Entry, FloorRow, Followed
from haulm.store.unit_of_work import UnitOfWork

MOVED, BROKEN = "floors-moved", "floor-broken"
_PROMISES = ("held", "contracted", "quote-changed", "final-numbers")
_WORDS = {
    "records": "records",
    "known_stems": "counts of stems",
    "temperatures": "the weather",
    "batches": "the sowing plan",
    "varieties": "the sowing plan",
    "beds": "the sowing plan",
    "sprays": "a spray",
    "orders": "orders",
    "order_lines": "orders",
    "standing_orders": "standing orders",
    "standing_lines": "standing orders",
    "changes": "standing orders",
    "farm": "the farm's settings or an import",
}
_SURE = 1e-9


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen of something guarded when floors were last looked at.

    Attributes:
        noted: its floor when a row of the book last said so, or when it was first seen, 0-1.
        floor, confidence, level: its floor, how sure it was, and the level it was promised at, 0-1.
        stems: stems asked.
    """

    noted: float
    floor: float
    confidence: float
    level: float
    stems: int


@dataclass(frozen=True, slots=True)
class Broken:
    """Something guarded that fell below its floor with nothing to explain it: from what to what, 0-1."""

    what: Guarded
    before: float
    after: float


def follow_floors(desk: Desk, actor: str) -> tuple[Broken, ...]:
    """Look at all floors, if anything was written or a day has begun since they were last looked at.

    A row of the book is written for each floor that has moved by a point or more since its last row, with what moved
    it. What is below its floor though nothing but accepted promises was written is an entry.

    Returns:
        What fell in that way.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    before = desk.store.followed()
    if before is not None and (before.version, before.day) == (desk.store.version(), desk.today()):
        return ()
    plan = desk.plan()
    look = _look(desk, plan, before)
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        if work.farm.version != plan.farm.version:
            return ()  # somebody wrote meanwhile: the next look sees that as well
        _write(work, plan, look)
        work.save()
    return tuple(look.broken)


def broken_in_words(desk: Desk) -> Iterator[str]:
    """What fell below its floor with nothing to explain it and is still due, in sentences without anybody's name."""
    entries = desk.store.entries_of(BROKEN)
    if not entries:
        return
    plan = desk.plan()
    falls = {Guarded(_order_of(e), date.fromisoformat(e.facts["due"]), e.facts["line"]): e.facts for e in entries}
    for what, facts in falls.items():
        if what in plan.moment.sure:
            fell = promise_in_words(plan.moment.sure[what].lines, what, (facts["from"], facts["to"]), plan)
            yield f"Nothing that was written down explains a fall: {fell}. Look at it, and tell whoever keeps Haulm."


@dataclass(frozen=True, slots=True)
class _Look:
    """What one look found: all that is guarded, the rows to write, and what fell with nothing to explain it."""

    seen: Mapping[Guarded, Seen]
    moved: Sequence[FloorRow]
    broken: Sequence[Broken]


def _look(desk: Desk, plan: Plan, before: Followed | None) -> _Look:
    known = {} if before is None else _unpacked(before.floors)
    since = desk.store.entries_since(before.version) if before is not None else ()
    is_new_day = before is not None and before.day != plan.today
    causes = tuple(dict.fromkeys([*_causes(since), *(["the day"] if is_new_day else [])]))
    standing = desk.store.floors(plan.today)
    floors = floors_from(standing, plan)
    rows = {guarded(row): row for row in standing if before is not None and row.version > before.version}
    seen: dict[Guarded, Seen] = {}
    moved: list[FloorRow] = []
    broken: list[Broken] = []
    for what, sure in plan.moment.sure.items():
        floor, then = floors.of(sure), known.get(what)
        noted = _noted(sure, then, rows.get(what), floor)
        if causes and abs(floor - noted) >= POINT - _SURE:
            moved.append(floor_row(sure, Kept(floors.debt_of(what), floor), plan, causes))
            noted = floor
        if not causes and then is not None and _is_broken(sure, then):
            broken.append(Broken(what, then.confidence, sure.confidence))
        seen[what] = Seen(noted, floor, sure.confidence, sure.level, _stems(sure))
    return _Look(seen, moved, broken)


def _write(work: UnitOfWork, plan: Plan, look: _Look) -> None:
    if look.moved:
        work.keep_floors(look.moved, entry=work.enter(MOVED, "farm", {"causes": list(look.moved[0].causes)}))
    for broken in look.broken:
        what = broken.what
        facts = {"due": what.due.isoformat(), "line": what.line, "from": broken.before, "to": broken.after}
        work.enter(BROKEN, f"orders/{what.order}", facts)
    work.follow_floors(plan.today, _packed(look.seen))


def _noted(sure: Sure, then: Seen | None, row: FloorRow | None, floor: float) -> float:
    """The floor that was last written down, or first seen; what was promised anew begins anew."""
    if row is not None:
        return row.floor
    if then is None or then.level != sure.level or then.stems != _stems(sure):
        return floor
    return then.noted


def _is_broken(sure: Sure, then: Seen) -> bool:
    """Whether it fell below its floor, the same being promised as before."""
    if (then.level, then.stems) != (sure.level, _stems(sure)):
        return False
    return sure.confidence < then.confidence - _SURE and sure.confidence < then.floor - POINT - _SURE


def _causes(entries: Iterable[Entry]) -> Iterator[str]:
    """What moved floors, in words: everything that was written and is no accepted promise."""
    for entry in entries:
        touches = any(entry.body.get(part) for part in ("changes", "promises", "stems"))
        if touches and not _is_promise(entry):
            yield _WORDS.get(entry.subject.partition("/")[0], "what was written down")


def _is_promise(entry: Entry) -> bool:
    if entry.facts.get("overridden"):
        return False
    return entry.kind in _PROMISES or bool(entry.facts.get(PROMISED))


def _order_of(entry: Entry) -> str:
    return entry.subject.partition("/")[2]


def _stems(sure: Sure) -> int:
    return sum(line.stems for line in sure.lines)


def _packed(seen: Mapping[Guarded, Seen]) -> bytes:
    rows = [
        [what.order, what.due.isoformat(), what.line, one.noted, one.floor, one.confidence, one.level, one.stems]
        for what, one in seen.items()
    ]
    return zlib.compress(json.dumps(rows).encode())


def _unpacked(packed: bytes) -> dict[Guarded, Seen]:
    rows = json.loads(zlib.decompress(packed))
    return {Guarded(order, date.fromisoformat(due), line): Seen(*seen) for order, due, line, *seen in rows}
