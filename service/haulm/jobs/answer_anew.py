"""Answer a quote anew: what was asked before, by what was decided since, and who lives where the flowers go."""

from __future__ import annotations

from dataclasses import replace

from haulm.farm.words import Home
from haulm.jobs.change_quote import Changed, change_quote
from haulm.jobs.desk import Desk
from haulm.jobs.final_numbers import asked_before
from haulm.store.unit_of_work import UnitOfWork


def answer_anew(
    desk: Desk, work: UnitOfWork, key: str, *, homes: tuple[Home, ...] | None = None, override: str | None = None
) -> Changed:
    """Write another version of a quote made from pieces, with all else as it was asked.

    Args:
        desk: the desk.
        work: the unit of work; what it has written so far counts.
        key: the order.
        homes: who lives in the home; None leaves them as they were.
        override: the reason to write it in spite of a refusal; None: it is refused.

    Raises:
        NotFound, NotAQuote, HoldExpired, PromiseRefused, NotAccepted: as for a change.
        DatePassed, DayNotServed, NothingInSeason: it cannot be answered any more.
    """
    asked = asked_before(work, key)
    return change_quote(desk, work, key, asked if homes is None else replace(asked, homes=homes), override=override)
