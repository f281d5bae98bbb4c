"""Letters follow what is taken back: one that still waits stays here, one that may have gone is corrected."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.jobs.journal.entry_words import day_of
from haulm.store.history import Step
from haulm.store.outbox import Letter, Posted
from haulm.store.unit_of_work import UnitOfWork

CORRECTION = "taken-back"


def correct_letters(work: UnitOfWork, step: Step, done: Step, *, entry: int) -> int:
    """Queue a correcting letter for each letter of a step that may have gone; gives how many.

    Args:
        work: the unit of work that undoes the step.
        step: the step that is asked for.
        done: the step that is undone: the same, or the one that took it back.
        entry: the entry that undoes it.
    """
    is_put_back = step is not done
    corrected = 0
    for letter in work.letters(tuple(_numbers(done))):
        if letter.customer is not None and not work.keep_back(letter.number):
            work.send(_correction(work, letter, entry, is_put_back=is_put_back))
            corrected += 1
    for letter in work.letters(tuple(_numbers(step))) if is_put_back else ():
        work.send_again(letter.number)
    return corrected


def _numbers(step: Step) -> Iterator[int]:
    for entry in step.entries:
        yield from entry.body.get("letters", ())


def _correction(work: UnitOfWork, letter: Posted, entry: int, *, is_put_back: bool) -> Letter:
    facts = {
        "farm": work.farm.site.name,
        "day": day_of(work.farm, letter.made_at).isoformat(),
        "about": letter.kind,
        "holds": is_put_back,
    }
    return Letter(CORRECTION, letter.customer, facts, f"{CORRECTION}/{entry}/{letter.number}")
