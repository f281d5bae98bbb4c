"""What a quote says in words: what a line asks, what is hoped for, what stands in, what was left out and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.quantities import reaches
from haulm.farm.weeks import day_in_words
from haulm.jobs.quotes.answer import Answered
from haulm.jobs.quotes.draft import DraftLine, asked_products, stand_ins_of
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.stages import stage_remarks
from haulm.jobs.quotes.version import HopedFor, SheetPiece
from haulm.language.words import _, marked

_NAMED = 4
_EXPECTED_ALONE = 0.9
"""From here on what is named is expected without a stand-in."""
_NONE_COMES = marked("Nothing we grow can stand in that day.")


def hoped_kinds(found: Answered, draft: DraftLine) -> tuple[HopedFor, ...]:
    """The kinds that may come for a line, each with most stems first: those it asks, then those that stand in."""
    refused = found.order.unacceptable
    own = asked_products(draft.line, found.trial.crops, unacceptable=refused)
    others = stand_ins_of(draft.line, unacceptable=refused)
    return (*_hoped(found, draft.line, own), *_hoped(found, draft.line, others, stands_in=True))


def _hoped(
    found: Answered, line: OrderLine, products: Sequence[Product], *, stands_in: bool = False
) -> Iterator[HopedFor]:
    for item in found.look.hoped_for(line, products)[:_NAMED]:
        name = found.trial.crops[item.product.variety].name
        yield HopedFor(str(item.product), name, item.stems, round(item.likelihood, 6), stands_in)


def stand_in(found: Answered, draft: DraftLine, hoped: Sequence[HopedFor]) -> str:
    """What stands in where what a line asks is not there, in a sentence; empty where that alone is expected."""
    line, crops = draft.line, found.trial.crops
    own = asked_products(line, crops, unacceptable=found.order.unacceptable)
    (alone,) = found.look.outlook([(line, own)], at=0).confidences
    if reaches(alone, _EXPECTED_ALONE):
        return ""
    if line.no_substitute:
        return _("Nothing may stand in, as the customer asked.")
    if not line.substitutes:
        return _("No stand-in is agreed.")
    names = [f"{item.name} ({_colour(found, item)})" for item in hoped if item.stands_in]
    return (
        _("Standing in where that fails: {names}.").format(names=joined(names, _("and"))) if names else _(_NONE_COMES)
    )


def _colour(found: Answered, item: HopedFor) -> str:
    return found.trial.crops[item.product.partition(":")[0]].colour or _("no colour noted")


def remarks(found: Answered, pieces: Iterable[SheetPiece]) -> tuple[str, ...]:
    """What the grower and the couple should know beside the figures."""
    said = []
    if found.moved_from is not None:
        said.append(
            _("The stems leave on {due_date}: no cut day can serve {moved_from}.").format(
                due_date=day_in_words(found.order.due_date), moved_from=day_in_words(found.moved_from)
            )
        )
    shares = sorted(pieces, key=lambda piece: -piece.share)[:2]
    if len(shares) == 2:
        words = joined([piece.piece.replace("_", " ") for piece in shares], _("and"))
        said.append(_("Most of the stems go into these: {words}.").format(words=words))
    crops = found.trial.crops
    said += _left_out(found)
    for line in found.draft.lines:
        said += stage_remarks(line, crops)
    return tuple(dict.fromkeys(said))


def _left_out(found: Answered) -> Iterator[str]:
    """The kinds that stay out of each piece for the harm they can do; pieces that lack the same are said together."""
    crops = found.trial.crops
    out_of: dict[str, set[str]] = {}
    for line in found.draft.lines:
        for piece in line.pieces:
            out_of.setdefault(piece, set()).update(crops[key].name for key in line.barred if key in crops)
    same: dict[tuple[str, ...], list[str]] = {}
    for piece, names in out_of.items():
        if names:
            same.setdefault(tuple(sorted(names)), []).append(piece.replace("_", " "))
    for kinds, pieces in same.items():
        yield _("Left out of the {pieces}: {kinds}.").format(
            pieces=joined(pieces, _("and the")), kinds=joined(kinds, _("and"))
        )
