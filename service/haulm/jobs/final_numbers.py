"""The final numbers of a quote: the counts of its pieces for the last time, everything else as it was agreed."""

from __future__ import annotations

from dataclasses import replace

from haulm.advice.pieces import PieceAsked
from haulm.errors import NotAccepted
from haulm.jobs.change_quote import Changed, change_quote
from haulm.jobs.desk import Desk
from haulm.jobs.hold_quote import order_named
from haulm.jobs.quote_answer import asked_again
from haulm.jobs.quote_version import VERSION_KINDS, versions_of
from haulm.store.unit_of_work import UnitOfWork


def final_numbers(
    desk: Desk, work: UnitOfWork, key: str, pieces: tuple[PieceAsked, ...], *, override: str | None = None
) -> Changed:
    """Write the final counts as another version, marked as final.

    Raises:
        NotFound, NotAQuote, HoldExpired, PromiseRefused: as for a change.
        NotAccepted: the quote was not made from pieces, or a piece is not accepted.
    """
    order_named(work.farm, key)
    versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
    if not versions or not versions[-1].pieces:
        raise NotAccepted(where=f"order '{key}'", found="no pieces", accepted="a quote made from pieces")
    asked = replace(asked_again(versions[-1]), pieces=pieces)
    return change_quote(desk, work, key, asked, override=override, are_final=True)
