"""What a quote says in words: what a line asks, what is hoped for, what stands in, what was left out and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from haulm.advice.certainty import EXPECTED_FROM
from haulm.advice.stand_ins import NEIGHBOURS
from haulm.farm.orders import OrderLine
from haulm.farm.quantities import percent
from haulm.jobs.quote_answer import Answered
from haulm.jobs.quote_draft import DraftLine, products_of
from haulm.jobs.quote_stages import stage_remarks
from haulm.jobs.quote_version import HopedFor, SheetPiece

_NAMED = 4


def wanted_words(line: OrderLine, role: str | None, colours: Sequence[str], names: dict[str, str]) -> str:
    """What a line asks: `accent in white or cream`, or the name of a kind."""
    if line.product is not None:
        dried = ", dried" if line.product.form == "dried" else ""
        return f"{names.get(line.product.variety, line.product.variety)}{dried}"
    if role is None:
        return str(line.choice)
    return f"{role} in {joined(colours)}" if colours else role


def joined(words: Sequence[str], last: str = "or") -> str:
    """Words with commas and one last word between."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def hoped_kinds(found: Answered, draft: DraftLine) -> tuple[HopedFor, ...]:
    """The kinds that may come for a line, those with most stems first."""
    crops = found.trial.crops
    products = products_of(draft.line, crops, unacceptable=found.order.unacceptable)
    return tuple(
        HopedFor(str(item.product), crops[item.product.variety].name, item.stems, round(item.likelihood, 6))
        for item in found.look.hoped_for(draft.line, products)[:_NAMED]
    )


def stand_in(found: Answered, draft: DraftLine, confidence: float, hoped: Sequence[HopedFor]) -> str:
    """What stands in, or would, in a sentence; empty where the line is expected as it is."""
    line, crops = draft.line, found.trial.crops
    if draft.widened and draft.role is not None:
        own = [item.name for item in hoped if crops[item.product.partition(":")[0]].role is draft.role]
        others = [item.name for item in hoped if item.name not in own]
        if others:
            return f"{draft.role.capitalize()} alone is not sure enough that day; standing in: {joined(others, 'and')}."
    if confidence >= EXPECTED_FROM - 1e-9:
        return ""
    if line.no_substitute:
        return "Nothing may stand in, as the customer asked."
    names = _could_stand_in(found, draft)
    return f"If it fails: {joined(names)}." if names else "Nothing we grow can stand in that day."


def _could_stand_in(found: Answered, draft: DraftLine) -> list[str]:
    """Kinds of the neighbouring roles, or the substitutes named, of which some are free."""
    line, crops = draft.line, found.trial.crops
    if line.product is not None:
        return [crops[product.variety].name for product in line.substitutes]
    if draft.role is None or line.choice is None:
        return []
    roles = (draft.role, *NEIGHBOURS[draft.role])
    barred = {*line.choice.barred, *found.order.unacceptable}
    products = [p for p in found.trial.result.supply.by_product if crops[p.variety].role in roles]
    free = [p for p in sorted(products) if p.variety not in barred and p.form in line.choice.forms]
    own = set(products_of(line, crops, unacceptable=found.order.unacceptable))
    hoped = found.look.hoped_for(line, [product for product in free if product not in own])
    return [f"{crops[item.product.variety].name} ({_colour(crops[item.product.variety].colour)})" for item in hoped[:2]]


def _colour(colour: str | None) -> str:
    return colour or "no colour noted"


def remarks(found: Answered, pieces: Iterable[SheetPiece]) -> tuple[str, ...]:
    """What the grower and the couple should know beside the figures."""
    said = []
    if found.moved_from is not None:
        said.append(
            f"The stems leave on {found.order.due_date:%A} {found.order.due_date}: no cut day can serve "
            f"{found.moved_from:%A} {found.moved_from}."
        )
    shares = sorted(pieces, key=lambda piece: -piece.share)[:2]
    if len(shares) == 2:
        words = joined([f"{piece.piece.replace('_', ' ')} {percent(piece.share)}" for piece in shares], "and")
        said.append(f"Most of the stems: {words}.")
    crops = found.trial.crops
    barred = sorted({crops[key].name for line in found.draft.lines for key in line.barred if key in crops})
    if barred:
        said.append(f"Left out of what is worn, held or near food because of their caution: {joined(barred, 'and')}.")
    for line in found.draft.lines:
        said += stage_remarks(line, crops)
    return tuple(dict.fromkeys(said))
