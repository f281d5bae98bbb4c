"""A judge of promises, written from the rules alone: who keeps what, whose floor is where, what may be promised.

c is a confidence now, L the level of a line or delivery, f its floor. It knows the nouns of demand and supply, and none
of the program's advice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from support.promise_match import Ground, name_of

EXACT = 1e-9
UNNOTICED = 0.01
"""A point: what nobody would notice."""

Thing = tuple[str, date, str | None]
"""What has a floor: order, due day, and the line, or None for the delivery as a whole."""


@dataclass(frozen=True, slots=True)
class Sureness:
    """How sure a line or delivery is, and how sure it should be, 0-1."""

    now: float
    level: float


@dataclass(frozen=True, slots=True)
class Account:
    """A floor, and what accepted promises have taken below it so far (at most a point)."""

    floor: float
    debt: float = 0.0


@dataclass(frozen=True, slots=True)
class Asked:
    """A promise asked: its order, the level (None: it need not be sure itself), and its own lines (None: all)."""

    order: str
    level: float | None
    own: frozenset[tuple[str, date]] | None = None

    def is_own(self, thing: Thing) -> bool:
        """Whether a line or delivery is what is promised anew."""
        order, due, line = thing
        if order != self.order:
            return False
        if self.own is None:
            return True
        return (line, due) in self.own if line is not None else any(day == due for _, day in self.own)


@dataclass(frozen=True, slots=True)
class Named:
    """A line or delivery that would be less sure than before: from, to, and its floor."""

    before: float
    after: float
    floor: float


@dataclass(frozen=True)
class Ruling:
    """What the judge says of a promise."""

    is_sure: bool
    joint: float
    falls: Mapping[Thing, Named]
    displaced: Mapping[Thing, Named]

    @property
    def accepted(self) -> bool:
        """It is sure enough itself, and nobody falls."""
        return self.is_sure and not self.falls


class Standing:
    """How sure everything is that lines ask of a ground."""

    def __init__(self, ground: Ground, lines: Iterable[DatedLine]) -> None:
        self.lines = tuple(lines)
        self._filled = ground.serve(self.lines)
        promised = [line for line in self.lines if not line.is_spare]
        self.own = {line: self._filled.sure([name_of(line)]) for line in promised}
        guarded = [line for line in promised if line.line_class is not LineClass.STALL]
        self.things = {(line.order, line.due, line.line): Sureness(self.own[line], line.level) for line in guarded}
        self.things |= {thing: self._of_all(lines) for thing, lines in _deliveries(guarded) if len(lines) > 1}

    def together(self, lines: Iterable[DatedLine]) -> float:
        """Weight of the seasons in which all these lines are filled; nought for none."""
        names = [name_of(line) for line in lines]
        return self._filled.sure(names) if names else 0.0

    def _of_all(self, lines: list[DatedLine]) -> Sureness:
        return Sureness(self.together(lines), min(line.level for line in lines))


def _deliveries(lines: Iterable[DatedLine]) -> Iterable[tuple[Thing, list[DatedLine]]]:
    found: dict[Thing, list[DatedLine]] = {}
    for line in lines:
        found.setdefault((line.order, line.due, None), []).append(line)
    return found.items()


@dataclass
class Book:
    """The floors along a history, by line and delivery; what was told before is left as it was told."""

    accounts: dict[Thing, Account] = field(default_factory=dict)

    def floor(self, thing: Thing, now: Sureness) -> float:
        """The floor kept; of what nobody wrote down yet, what it has now and no more than its level."""
        known = self.accounts.get(thing)
        return min(now.level, now.now) if known is None else known.floor

    def moved(self, standing: Standing) -> None:
        """Something that was no accepted promise: f := min(L, c + debt)."""
        self.accounts = {
            thing: Account(min(sure.level, sure.now + self._debt(thing)), self._debt(thing))
            for thing, sure in standing.things.items()
        }

    def promised(self, standing: Standing, asked: Asked) -> None:
        """An accepted promise: its own begin anew, of the others f stays and debt := max(debt, f - c)."""
        self.accounts = {
            thing: self._begun(sure) if asked.is_own(thing) else self._kept(thing, sure)
            for thing, sure in standing.things.items()
        }

    def overridden(self, standing: Standing, asked: Asked) -> None:
        """A promise the owner made all the same: its own begin anew, for the others it is no accepted promise."""
        self.moved(standing)
        own = {thing: self._begun(sure) for thing, sure in standing.things.items() if asked.is_own(thing)}
        self.accounts = {**self.accounts, **own}

    def _debt(self, thing: Thing) -> float:
        known = self.accounts.get(thing)
        return 0.0 if known is None else known.debt

    def _begun(self, sure: Sureness) -> Account:
        return Account(min(sure.level, sure.now))

    def _kept(self, thing: Thing, sure: Sureness) -> Account:
        known = self.accounts.get(thing)
        if known is None:
            return self._begun(sure)
        return Account(known.floor, max(known.debt, known.floor - sure.now))


def ruling(before: Standing, after: Standing, asked: Asked, book: Book) -> Ruling:
    """The verdict on a promise; `book` has been moved to what stood before."""
    own = [line for line in after.own if asked.is_own((line.order, line.due, line.line))]
    whole = after.together([line for line in after.own if line.order == asked.order])
    level = 0.0 if asked.level is None else asked.level
    is_sure = all(after.own[line] >= level - EXACT for line in own) and whole >= level - EXACT
    named = {
        thing: Named(then.now, after.things[thing].now, book.floor(thing, then))
        for thing, then in before.things.items()
        if thing in after.things and not asked.is_own(thing) and after.things[thing].now < then.now - EXACT
    }
    falls = {thing: one for thing, one in named.items() if one.after < one.floor - UNNOTICED - EXACT}
    displaced = {thing: one for thing, one in named.items() if thing not in falls}
    return Ruling(is_sure, whole, falls, displaced)


def may_promise_faults(stems: int, also: int | None, passes: Callable[[int], bool], *, most: int) -> list[str]:
    """What is wrong with an answer to "how many": n passes, n + 1 does not, and a larger number named passes again."""
    faults = []
    if stems and not passes(stems):
        faults.append(f"{stems} does not pass")
    if stems < most and passes(stems + 1):
        faults.append(f"{stems + 1} passes as well")
    if also is not None and (also <= stems + 1 or not passes(also)):
        faults.append(f"{also} does not pass again")
    return faults
