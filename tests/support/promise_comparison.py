"""The program's judgement of promises beside the judge's: every difference in a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from haulm.advice.acceptance import Fall, Moment, NewPromise, Verdict
from haulm.advice.acceptance import verdict as program_verdict
from haulm.advice.floors import Floors, Guarded, Kept
from haulm.demand.dated_line import DatedLine
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.confidence import joint_confidence
from support.moments import moment_of
from support.promise_farms import History, Step
from support.promise_judge import EXACT, Asked, Book, Named, Ruling, Standing, Thing, ruling


def thing_of(what: Guarded) -> Thing:
    """The judge's name of something guarded."""
    return (what.order, what.due, what.line)


@dataclass
class ProgramBook:
    """What the program's own book would keep along a history."""

    kept: dict[Guarded, Kept] = field(default_factory=dict)

    @staticmethod
    def like(book: Book) -> ProgramBook:
        """A book that keeps what the judge's does."""
        return ProgramBook({Guarded(*thing): Kept(one.debt, one.floor) for thing, one in book.accounts.items()})

    def moved(self) -> None:
        """Something else was written: floors follow again, with the debts they had."""
        self.kept = {what: Kept(one.debt) for what, one in self.kept.items()}

    def promised(self, found: Verdict) -> None:
        """A promise was made; of the others only an accepted one is kept."""
        self.moved()
        self.kept |= found.kept if found.accepted else {}
        self.kept |= {sure.what: Kept() for sure in found.promised}

    def told(self, moment: Moment) -> dict[Thing, tuple[float, float]]:
        """The floor and the debt of everything guarded."""
        floors = Floors(self.kept)
        return {thing_of(what): (floors.of(sure), floors.debt_of(what)) for what, sure in moment.sure.items()}


def judged_by_program(step: Step, after: tuple[DatedLine, ...], book: ProgramBook) -> Verdict:
    """The program's verdict on a step, with these lines after it."""
    stood = match(step.before, step.farm.supply, step.farm.keeping)
    stands = match(after, step.farm.supply, step.farm.keeping)
    promise = _promise(step.asked, stands)
    return program_verdict(moment_of(stood), moment_of(stands), promise, Floors(book.kept))


def judged_by_judge(step: Step, after: tuple[DatedLine, ...]) -> Ruling:
    """The judge's."""
    return ruling(Standing(step.ground, step.before), Standing(step.ground, after), step.asked, step.book)


def verdict_differences(found: Verdict, right: Ruling) -> list[str]:
    """Where a verdict is not what the judge says."""
    faults = [] if found.accepted == right.accepted else [f"accepted {found.accepted}, rightly {right.accepted}"]
    if abs(found.joint - right.joint) > EXACT:
        faults.append(f"jointly {found.joint}, rightly {right.joint}")
    faults += _named_differences("falls", found.falls, right.falls)
    return faults + _named_differences("displaced", found.displaced, right.displaced)


def _named_differences(word: str, found: Iterable[Fall], right: Mapping[Thing, Named]) -> list[str]:
    named = {thing_of(fall.what): Named(fall.before, fall.after, fall.floor) for fall in found}
    unequal = [thing for thing in named.keys() | right.keys() if not _alike(named.get(thing), right.get(thing))]
    return [f"{word}: {thing} {named.get(thing)}, rightly {right.get(thing)}" for thing in unequal]


def _alike(found: Named | None, right: Named | None) -> bool:
    if found is None or right is None:
        return found is right
    pairs = ((found.before, right.before), (found.after, right.after), (found.floor, right.floor))
    return all(abs(one - other) <= EXACT for one, other in pairs)


def floor_differences(told: Mapping[Thing, tuple[float, float]], right: Book) -> list[str]:
    """Where floors and debts told are not the judge's."""
    rightly = {thing: (one.floor, one.debt) for thing, one in right.accounts.items()}
    return [
        f"floor of {thing}: {told.get(thing)}, rightly {rightly.get(thing)}"
        for thing in told.keys() | rightly.keys()
        if thing not in told
        or thing not in rightly
        or any(abs(one - other) > EXACT for one, other in zip(told[thing], rightly[thing], strict=True))
    ]


def history_differences(history: History) -> list[str]:
    """Plays a history to its end, each promise judged by both; what the judge says is what happens."""
    faults: list[str] = []
    book = ProgramBook()
    for number, step in enumerate(history.steps()):
        if step.is_moved:
            book.moved()
        found, right = judged_by_program(step, step.after, book), judged_by_judge(step, step.after)
        faults += [f"promise {number}: {fault}" for fault in verdict_differences(found, right)]
        if right.accepted:
            history.made(step)
        elif not history.refused(step):
            continue
        book.promised(found)
        moment = moment_of(match(step.after, step.farm.supply, step.farm.keeping))
        faults += [f"promise {number}: {fault}" for fault in floor_differences(book.told(moment), history.book)]
    return faults


def _promise(asked: Asked, stands: MatchResult) -> NewPromise:
    places = [at for at, line in enumerate(stands.lines) if line.order == asked.order and not line.is_spare]
    joint = joint_confidence(stands, places) if places else 0.0
    own: frozenset[tuple[str, date]] | None = asked.own
    return NewPromise(asked.order, asked.level or 0.0, joint, own)
