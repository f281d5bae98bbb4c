"""Follow the floors after every write: what moved them is written down, and a fall that nothing explains is told."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass
from typing import Any

from haulm.advice.floors import POINT, Guarded, Kept, Sure
from haulm.farm.quantities import reaches
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED, floor_row, floors_from, guarded, guarded_in, has_new_figures
from haulm.jobs.quotes.promise_refused import promise_in_words
from haulm.language.words import _, marked
from haulm.planning.plan import Plan
from haulm.store.journal import Entry, FloorRow, Followed
from haulm.store.unit_of_work import UnitOfWork

MOVED, BROKEN, NEW_FIGURES = "floors-moved", "floor-broken", "figures-new"
FIGURES = marked("new figures")
_PROMISES = ("held", "contracted", "quote-changed", "final-numbers")
_WORDS = {
    "records": marked("records"),
    "known_stems": marked("counts of stems"),
    "temperatures": marked("the weather"),
    "batches": marked("the sowing plan"),
    "varieties": marked("the sowing plan"),
    "beds": marked("the sowing plan"),
    "sprays": marked("a spray"),
    "orders": marked("orders"),
    "order_lines": marked("orders"),
    "standing_orders": marked("standing orders"),
    "standing_lines": marked("standing orders"),
    "changes": marked("standing orders"),
    "farm": marked("the farm's settings or an import"),
    "bucket-lists": marked("bucket lists"),
    "customers": marked("answers of florists"),
}


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
class Fell:
    """Something guarded that fell: from what to what, 0-1."""

    what: Guarded
    before: float
    after: float


def follow_floors(desk: Desk, actor: str) -> tuple[Fell, ...]:
    """Look at all floors, if anything was written or a day has begun since they were last looked at.

    A row of the book is written for each floor that has moved by a point or more since its last row, with what moved
    it. What is below its floor though nothing but accepted promises was written is an entry. Where the figures come
    from another model than before, that is an entry with all that is less sure for it; nobody else is told.

    Returns:
        What fell in that way.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    before = desk.store.followed()
    if is_followed(desk, before):
        return ()
    plan = desk.plan()
    look = _look(desk, plan, before)
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        if work.farm.version != plan.farm.version:
            return ()  # somebody wrote meanwhile: the next look sees that as well
        _write(work, plan, look, model=desk.planner.drawing.model)
        work.save()
    return tuple(look.broken)


def is_followed(desk: Desk, before: Followed | None) -> bool:
    """Whether nothing was written, no day has begun and no figures are new since floors were last looked at."""
    if before is None:
        return False
    return (before.version, before.day, before.model) == (
        desk.store.version(),
        desk.today(),
        desk.planner.drawing.model,
    )


def broken_in_words(desk: Desk) -> Iterator[str]:
    """What fell below its floor with nothing to explain it and is still due, in sentences without anybody's name."""
    entries = desk.store.entries_of(BROKEN)
    if not entries:
        return
    plan = desk.plan()
    falls = {guarded_in(e.facts, _order_of(e)): e.facts for e in entries}
    for what, facts in falls.items():
        if what in plan.moment.sure:
            fell = promise_in_words(plan.moment.sure[what].lines, what, (facts["from"], facts["to"]), plan)
            yield _(
                "Nothing that was written down explains a fall: {fell}. Look at it, and tell whoever keeps Haulm."
            ).format(fell=fell)


@dataclass(frozen=True, slots=True)
class _Look:
    """What one look found.

    Attributes:
        seen: all that is guarded.
        moved: the rows to write.
        broken: what fell with nothing to explain it.
        was_model: the model before, where its figures are no longer those of now.
        lowered: what is less sure since the figures are new, by a point or more.
    """

    seen: Mapping[Guarded, Seen]
    moved: Sequence[FloorRow]
    broken: Sequence[Fell]
    was_model: int | None = None
    lowered: Sequence[Fell] = ()


def _look(desk: Desk, plan: Plan, before: Followed | None) -> _Look:
    known = {} if before is None else _unpacked(before.floors)
    was_model = before.model if before is not None and has_new_figures(desk, before.model) else None
    causes = () if before is None else tuple(dict.fromkeys(_causes_since(desk, plan, before)))
    standing = desk.store.floors(plan.today)
    floors = floors_from(standing, plan, follow=was_model is not None)
    rows = {guarded(row): row for row in standing if before is not None and row.version > before.version}
    seen: dict[Guarded, Seen] = {}
    moved: list[FloorRow] = []
    broken: list[Fell] = []
    for what, sure in plan.moment.sure.items():
        floor, then = floors.of(sure), known.get(what)
        noted = _noted(sure, then, rows.get(what), floor)
        if causes and reaches(abs(floor - noted), POINT):
            moved.append(floor_row(sure, Kept(floors.debt_of(what), floor), plan, causes))
            noted = floor
        if not causes and then is not None and _is_broken(sure, then):
            broken.append(Fell(what, then.confidence, sure.confidence))
        seen[what] = Seen(noted, floor, sure.confidence, sure.level, _stems(sure))
    lowered = () if was_model is None else tuple(_lowered(plan.moment.sure.values(), known))
    return _Look(seen, moved, broken, was_model, lowered)


def _lowered(now: Iterable[Sure], known: Mapping[Guarded, Seen]) -> Iterator[Fell]:
    """What is less sure than it was by a point or more, the same being promised as before."""
    for sure in now:
        then = known.get(sure.what)
        same = then is not None and (then.level, then.stems) == (sure.level, _stems(sure))
        if then is not None and same and reaches(then.confidence - sure.confidence, POINT):
            yield Fell(sure.what, then.confidence, sure.confidence)


def _write(work: UnitOfWork, plan: Plan, look: _Look, *, model: int) -> None:
    if look.was_model is not None:
        lowered = [_fall_facts(fall) | {"order": fall.what.order} for fall in look.lowered]
        work.enter(NEW_FIGURES, "farm", {"was": look.was_model, "is": model, "lowered": lowered})
    if look.moved:
        work.keep_floors(look.moved, entry=work.enter(MOVED, "farm", {"causes": list(look.moved[0].causes)}))
    for broken in look.broken:
        work.enter(BROKEN, f"orders/{broken.what.order}", _fall_facts(broken))
    work.follow_floors(plan.today, _packed(look.seen), model)


def _fall_facts(fall: Fell) -> dict[str, Any]:
    due, line, part = fall.what.due.isoformat(), fall.what.line, fall.what.part
    return {"due": due, "line": line, "part": part, "from": fall.before, "to": fall.after}


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
    return not reaches(sure.confidence, then.confidence) and not reaches(sure.confidence, then.floor - POINT)


def _causes_since(desk: Desk, plan: Plan, before: Followed) -> Iterator[str]:
    """What moved floors since they were last looked at, in words."""
    if has_new_figures(desk, before.model):
        yield FIGURES
    yield from causes_of(desk.store.entries_since(before.version))
    if before.day != plan.today:
        yield marked("the day")


def causes_of(entries: Iterable[Entry]) -> Iterator[str]:
    """What moved floors, in words: everything that was written and is no accepted promise."""
    for entry in entries:
        touches = any(entry.body.get(part) for part in ("changes", "promises", "stems"))
        if touches and not _is_promise(entry):
            yield _WORDS.get(entry.subject.partition("/")[0], marked("what was written down"))


def _is_promise(entry: Entry) -> bool:
    if entry.facts.get("overridden"):
        return False
    return entry.kind in _PROMISES or bool(entry.facts.get(PROMISED))


def _order_of(entry: Entry) -> str:
    return entry.subject.partition("/")[2]


def _stems(sure: Sure) -> int:
    return sum(line.stems for line in sure.lines)


def _packed(seen: Mapping[Guarded, Seen]) -> bytes:
    rows = [[[what.order, what.due.isoformat(), what.line, what.part], *astuple(one)] for what, one in seen.items()]
    return zlib.compress(json.dumps(rows).encode())


def _unpacked(packed: bytes) -> dict[Guarded, Seen]:
    rows = json.loads(zlib.decompress(packed))
    if any(isinstance(row[0], str) for row in rows):  # as it was packed before orders had parts
        rows = [[[*row[:3], None], *row[3:]] for row in rows]
    named = (dict(zip(("order", "due", "line", "part"), what, strict=True)) for what, *_ in rows)
    return {guarded_in(what, what["order"]): Seen(*row[1:]) for what, row in zip(named, rows, strict=True)}
