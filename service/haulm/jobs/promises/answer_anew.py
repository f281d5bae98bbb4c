"""Answer a quote anew: what was asked before, by what was decided since, and who lives where the flowers go."""

from __future__ import annotations

from dataclasses import replace

from haulm.farm.words import Home
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.change_quote import ChangeReady, QuoteChanged, change_quote, change_ready
from haulm.jobs.promises.final_numbers import asked_before
from haulm.jobs.quotes.answer import QuoteAsked, asked_again
from haulm.jobs.quotes.version import VERSION_KINDS, versions_of
from haulm.store.unit_of_work import UnitOfWork


def anew_ready(desk: Desk, key: str, homes: tuple[Home, ...] | None = None) -> ChangeReady | None:
    """A quote that holds nothing answered anew before anybody has to wait for the farm; else None."""
    versions = versions_of(desk.store.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
    if not versions or not versions[-1].pieces:
        return None
    return change_ready(desk, key, _with_homes(asked_again(versions[-1]), homes))


def answer_anew(
    desk: Desk,
    work: UnitOfWork,
    key: str,
    *,
    homes: tuple[Home, ...] | None = None,
    override: str | None = None,
    ready: ChangeReady | None = None,
) -> QuoteChanged:
    """Write another version of a quote made from pieces, with all else as it was asked.

    Args:
        desk: the desk.
        work: the unit of work; what it has written so far counts.
        key: the order.
        homes: who lives in the home; None leaves them as they were.
        override: the reason to write it in spite of a refusal; None: it is refused.
        ready: the answer worked out before, if it was.

    Raises:
        NotFound, NotAQuote, HoldExpired, PromiseRefused, NotAccepted: as for a change.
        DatePassed, DayNotServed, NothingInSeason: it cannot be answered any more.
    """
    return change_quote(desk, work, key, _with_homes(asked_before(work, key), homes), override=override, ready=ready)


def _with_homes(asked: QuoteAsked, homes: tuple[Home, ...] | None) -> QuoteAsked:
    return asked if homes is None else replace(asked, homes=homes)
