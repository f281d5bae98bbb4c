"""Another product offered to the customers who are short: same role, same colours, with stems that nobody needs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from haulm.advice.options.option import Option, Proof
from haulm.advice.options.palette import same_family
from haulm.advice.options.situation import ProveLines, Situation
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.weeks import day_in_words
from haulm.language.words import _
from haulm.matching.allocation.candidates import chosen_by
from haulm.matching.supply import ProductKeeping

_TRIED = 3


def stands_in(line: DatedLine, product: Product, kept: ProductKeeping, own: ProductKeeping | None) -> bool:
    """Whether a product has the role and a colour of what a line asks, in its form, and is not named there already.

    Args:
        line: the line.
        product: the product that might stand in.
        kept: role and colour of that product.
        own: role and colour of the line's own product; None for a choice.

    Source: same colour family first, then same role (common practice among florists).
    """
    if product == line.product or product in line.substitutes:
        return False
    if line.choice is None:
        assert own is not None and line.product is not None, "a line asks a product or a choice"
        same_form = product.form is line.product.form
        return same_form and kept.role is own.role and same_family(kept.colour, own.colour)
    choice = line.choice
    refused = product.variety in (*choice.without, *choice.barred)
    if refused or product.form not in choice.forms or chosen_by(choice, product, kept):
        return False
    fits = (not choice.roles or kept.role in choice.roles) and (not choice.kinds or kept.kind in choice.kinds)
    return fits and (not choice.colours or any(same_family(kept.colour, colour) for colour in choice.colours))


def substitute(
    situation: Situation,
    offers: Sequence[Product],
    takes: Callable[[DatedLine, Product], bool],
    prove: ProveLines,
) -> Option | None:
    """The offer that closes the gap, or helps most and enough; None where none does, or it is too late to ask.

    Args:
        situation: the gap.
        offers: products that have stems left, the most promising first.
        takes: whether a line may be offered a product at all.
        prove: re-matches the farm with lines changed; whoever would fall rules an offer out.
    """
    best: tuple[Product, tuple[DatedLine, ...], Proof] | None = None
    for product in offers[:_TRIED]:
        asked = tuple(line for line in situation.lines if takes(line, product))
        if not asked or situation.ask_by(asked) < situation.today:
            continue
        trial = prove({line: replace(line, substitutes=(*line.substitutes, product)) for line in asked})
        if not trial.falls and (best is None or trial.proof.missing < best[2].missing):
            best = product, asked, trial.proof
            if situation.closes(trial.proof):
                break
    if best is None or not situation.is_worth_telling(best[2]):
        return None
    return _option(situation, *best)


def _option(situation: Situation, product: Product, asked: tuple[DatedLine, ...], proof: Proof) -> Option:
    by = situation.ask_by(asked)
    name = situation.name(product)
    whom = situation.said_lines(asked)
    return Option(
        kind="substitute",
        sentence=_("Offer {name} where {asked} is short to {whom}, by {by}: {effect}.").format(
            name=name, asked=situation.asked, whom=whom, by=day_in_words(by), effect=situation.said(proof)
        ),
        decide_by=by,
        before=situation.before,
        after=proof,
        closes=situation.closes(proof),
        product=product,
        lines=asked,
        worth=situation.worth(proof),
    )
