"""What was written, step by step: what each row said before and after, and which steps stand in each other's way.

A step is all that one unit of work wrote. Whatever a step wrote is a thing: a row, the site, a promise of a line on its
day, or, where it only noted facts, what it was about. The steps that wrote a thing lie on each other; the last one can
be taken off, and what was taken off can be put on again while nothing else lies there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from haulm.store.journal import Entry, Json

TAKEN_BACK, PUT_BACK = "taken-back", "put-back"
"""The kinds of the entries that take an entry back, and put it back again; they correct it, whichever was last."""
SITE, PROMISES = "site", "promises"
_FACTS, _STEPS = "facts", "steps"

Thing = tuple[str, str]
"""What is written: a collection and a key, or `SITE`, or `PROMISES` with line and due day."""


@dataclass(frozen=True, slots=True)
class Write:
    """What a step made of a thing: before and after, None where there was nothing."""

    before: Json | None
    after: Json | None


@dataclass(slots=True)
class Step:
    """What was written in one go.

    Attributes:
        version: the farm's version that it made.
        entries: its entries, in order.
        writes: what it made of each thing.
        orders: of each collection of which rows were taken out, the keys in their order before.
        stems: its postings, as entries keep them.
        floors: the rows of floors that it wrote, and for each what stood before it (None: nothing).
        of: where it takes a step back, or puts it back, that step's version; else None.
        has_people: whether it wrote or erased names or addresses, which the journal does not hold.
    """

    version: int
    entries: tuple[Entry, ...]
    writes: dict[Thing, Write] = field(default_factory=dict[Thing, Write])
    orders: dict[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])
    stems: list[Json] = field(default_factory=list[Json])
    floors: list[tuple[Json, Json | None]] = field(default_factory=list[tuple[Json, Json | None]])
    of: int | None = None
    has_people: bool = False

    @property
    def rows(self) -> dict[Thing, Write]:
        """What it made of rows."""
        return {thing: write for thing, write in self.writes.items() if thing[0] not in (SITE, PROMISES)}


class History:
    """The journal read once from its beginning, for whoever wants to know what was before.

    Args:
        entries: every entry, oldest first.
        quiet: kinds of entries in which the service notes something for itself: they stand in nobody's way.

    Attributes:
        steps: every step by its version, oldest first.
        gone: rows that were taken out, as they were last.
    """

    def __init__(self, entries: Iterable[Entry], quiet: frozenset[str] = frozenset()) -> None:
        self.steps: dict[int, Step] = {}
        self.gone: dict[Thing, Json] = {}
        self._quiet = quiet
        self._rows: dict[str, dict[str, Json]] = {}
        self._site: Json | None = None
        self._promises: dict[str, Json] = {}
        self._floors: dict[tuple[str, ...], Json] = {}
        self._piles: dict[Thing, list[int]] = {}
        self._back: dict[int, int] = {}
        self._uncovered: dict[int, dict[Thing, int | None]] = {}
        self._of_seq: dict[int, int] = {}
        together: list[Entry] = []
        for entry in entries:
            if together and together[0].version != entry.version:
                self._read(together)
                together = []
            together.append(entry)
        if together:
            self._read(together)

    def step_of(self, seq: int) -> Step | None:
        """The step that an entry belongs to; None where there is no such entry."""
        version = self._of_seq.get(seq)
        return None if version is None else self.steps[version]

    def taken_back_by(self, step: Step) -> Step | None:
        """The step that took one back and stands; None where it was not, or was put back since."""
        version = self._back.get(step.version)
        return None if version is None else self.steps[version]

    def in_the_way(self, step: Step) -> tuple[Step, ...]:
        """The steps to take back before this one, the latest first; none where all it wrote still stands.

        Of a step that was taken back: what was written since where it stood.
        """
        found: set[int] = set()
        uncovered = self._uncovered.get(self._back.get(step.version, 0))
        for thing in self._things(step):
            pile = self._piles.get(thing, [])
            if uncovered is None:
                found.update(pile[pile.index(step.version) + 1 :] if step.version in pile else ())
            elif (pile[-1] if pile else None) != uncovered[thing]:
                place = uncovered[thing]
                above = pile[pile.index(place) + 1 :] if place in pile else pile
                # What lay below is gone as well: it was taken back later, and has to be put back before.
                found.update(above or (self._later_back(thing, step),))
        return tuple(self.steps[version] for version in sorted(found, reverse=True))

    def in_force(self) -> Iterator[Step]:
        """The steps that stand, oldest first, without those that take others back or put them back."""
        return (step for step in self.steps.values() if step.of is None and step.version not in self._back)

    def last_of(self, thing: Thing) -> Step | None:
        """The last step that stands and wrote a thing; None where none does."""
        pile = self._piles.get(thing)
        return self.steps[pile[-1]] if pile else None

    def said(self, thing: Thing) -> tuple[tuple[int, Json | None], ...]:
        """Everything that a row ever said, with the version that wrote it, oldest first; None: it was taken out."""
        return tuple(
            (version, step.writes[thing].after) for version, step in self.steps.items() if thing in step.writes
        )

    def _later_back(self, thing: Thing, step: Step) -> int:
        later = (number for number in self._back.values() if thing in self._uncovered[number])
        return max(number for number in later if number != self._back[step.version])

    def _read(self, entries: Sequence[Entry]) -> None:
        step = Step(entries[0].version, tuple(entries))
        self.steps[step.version] = step
        for entry in entries:
            self._of_seq[entry.seq] = step.version
            self._read_body(step, entry.body)
        step.writes = {thing: write for thing, write in step.writes.items() if not _is_idle(step, write)}
        target = next((entry for entry in entries if entry.kind in (TAKEN_BACK, PUT_BACK)), None)
        if target is None or target.corrects is None:
            for thing in self._things(step):
                self._piles.setdefault(thing, []).append(step.version)
            return
        step.of = self._of_seq[target.corrects]
        things = self._things(self.steps[step.of])
        if target.kind == TAKEN_BACK:
            self._take_off(step, things)
        else:
            self._back.pop(step.of, None)
            for thing in things:
                self._piles.setdefault(thing, []).append(step.of)

    def _take_off(self, step: Step, things: Iterable[Thing]) -> None:
        assert step.of is not None, "only a step that takes another back takes it off"
        self._back[step.of] = step.version
        uncovered = self._uncovered[step.version] = {}
        for thing in things:
            pile = self._piles[thing]
            pile.remove(step.of)
            uncovered[thing] = pile[-1] if pile else None

    def _things(self, step: Step) -> list[Thing]:
        """What lies on each other: what a step wrote, what it noted facts about, and what it corrects."""
        found = [*step.writes, (_STEPS, str(step.version))]
        for entry in step.entries:
            if entry.kind in self._quiet:
                continue
            if not any(entry.body.get(part) for part in ("changes", "promises", "stems")):
                found.append((_FACTS, entry.subject))
            if entry.corrects is not None and entry.corrects in self._of_seq:
                found.append((_STEPS, str(self._of_seq[entry.corrects])))
        return list(dict.fromkeys(found))

    def _read_body(self, step: Step, body: Mapping[str, Any]) -> None:
        for change in body.get("changes", ()):
            self._apply(step, change)
        for item in body.get("promises", ()):
            place = f"{item['line']}|{item['due']}"
            _note(step, (PROMISES, place), self._promises.get(place), item)
            self._promises[place] = item
        for item in body.get("floors", ()):
            if item["causes"]:
                continue
            guard = tuple(str(item.get(name)) for name in ("order", "due", "line", "part"))
            step.floors.append((item, self._floors.get(guard)))
            self._floors[guard] = item
        step.stems += body.get("stems", ())

    def _apply(self, step: Step, change: Mapping[str, Any]) -> None:
        match change["do"]:
            case "clear":
                for name, rows in self._rows.items():
                    step.orders.setdefault(name, tuple(rows))
                    for key, row in rows.items():
                        _note(step, (name, key), row, None)
                        self.gone[name, key] = row
                step.has_people = step.has_people or bool(change.get("names", self._rows.get("customers")))
                self._rows = {}
            case "site":
                _note(step, (SITE, ""), self._site, change["site"])
                self._site = change["site"]
            case "arrange":
                rows = self._rows[change["collection"]]
                self._rows[change["collection"]] = {key: rows[key] for key in change["keys"]}
            case "put":
                self._put(step, change)
            case _:  # one row is taken out
                rows, key = self._rows[change["collection"]], change["key"]
                step.orders.setdefault(change["collection"], tuple(rows))
                step.has_people = step.has_people or change["collection"] == "customers"
                row = self.gone[change["collection"], key] = rows.pop(key)
                _note(step, (change["collection"], key), row, None)

    def _put(self, step: Step, change: Mapping[str, Any]) -> None:
        rows = self._rows.setdefault(change["collection"], {})
        step.has_people = step.has_people or bool(change.get("names"))
        for values in change["rows"]:
            row = dict(zip(change["columns"], values, strict=True))
            _note(step, (change["collection"], row["key"]), rows.get(row["key"]), row)
            rows[row["key"]] = row


def _note(step: Step, thing: Thing, before: Json | None, after: Json | None) -> None:
    earlier = step.writes.get(thing)
    step.writes[thing] = Write(before if earlier is None else earlier.before, after)


def _is_idle(step: Step, write: Write) -> bool:
    """Whether a step that wrote the whole farm left a row as it was."""
    return write.before == write.after and any(
        change["do"] == "clear" for entry in step.entries for change in entry.body.get("changes", ())
    )
