"""The final numbers of a quote: the counts of its pieces for the last time, everything else as it was agreed."""

from __future__ import annotations

from dataclasses import replace

from haulm.advice.pieces import PieceAsked
from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.change_quote import QuoteChanged, change_to_final
from haulm.jobs.promises.hold_quote import order_named
from haulm.jobs.quotes.answer import QuoteAsked, asked_again
from haulm.jobs.quotes.version import VERSION_KINDS, versions_of
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork


def final_numbers(
    desk: Desk, work: UnitOfWork, key: str, pieces: tuple[PieceAsked, ...], *, override: str | None = None
) -> QuoteChanged:
    """Write the final counts as another version, marked as final.

    Raises:
        NotFound, NotAQuote, HoldExpired, PromiseRefused: as for a change.
        NotAccepted: the quote was not made from pieces, or a piece is not accepted.
    """
    before = asked_before(work, key)
    colours = {piece.piece: piece.colours for piece in before.pieces}
    pieces = tuple(replace(piece, colours=piece.colours or colours.get(piece.piece, ())) for piece in pieces)
    return change_to_final(desk, work, key, replace(before, pieces=pieces), override=override)


def asked_before(work: UnitOfWork, key: str) -> QuoteAsked:
    """What was asked for with the version of a quote that stands.

    Raises:
        NotFound: there is no such order.
        NotAccepted: it was not made from pieces.
    """
    order_named(work.farm, key)
    versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
    if not versions or not versions[-1].pieces:
        raise NotAccepted(
            where=_("order '{key}'").format(key=key), found=_("no pieces"), accepted=_("a quote made from pieces")
        )
    return asked_again(versions[-1])
