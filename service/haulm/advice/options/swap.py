"""A swap: a line that is served takes the substitute it named itself, and what it leaves fills the gap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from haulm.advice.options.one_by_one import gathered
from haulm.advice.options.option import Option
from haulm.advice.options.situation import Changes, ProveLines, Situation
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.weeks import day_in_words
from haulm.language.words import _


@dataclass(frozen=True, slots=True)
class Swap:
    """A line and the substitute, of those it named, that it would take first."""

    line: DatedLine
    product: Product

    @property
    def swapped(self) -> DatedLine:
        """The line with the substitute as its product, and its product last of its substitutes."""
        assert self.line.product is not None, "only a line with a product of its own swaps"
        others = tuple(other for other in self.line.substitutes if other != self.product)
        return replace(self.line, product=self.product, substitutes=(*others, self.line.product))


def swap(situation: Situation, swaps: Sequence[Swap], prove: ProveLines) -> Option | None:
    """The swaps that close the gap, or help enough; None where none do, or it is too late to tell whoever swaps.

    Args:
        situation: the gap.
        swaps: what might be swapped, the most promising first.
        prove: re-matches the farm with lines changed; a swap by which anybody falls, the swapper too, is ruled out.
    """

    def changes(one: Swap) -> Changes:
        return {one.line: one.swapped}

    in_time = [one for one in swaps if situation.ask_by([one.line]) >= situation.today]
    found = gathered(situation, in_time, changes, prove)
    if found is None:
        return None
    taken, proof = found
    lines = tuple(one.line for one in taken)
    by = situation.ask_by(lines)
    people = ", ".join(sorted({situation.person(line) for line in lines}))
    return Option(
        kind="swap",
        sentence=_("If {swaps}, {asked} goes to {lines}; tell {people} by {by}: {effect}.").format(
            swaps=_said(situation, taken),
            asked=situation.asked,
            lines=situation.said_lines(situation.lines),
            people=people,
            by=day_in_words(by),
            effect=situation.said(proof),
        ),
        decide_by=by,
        before=situation.before,
        after=proof,
        closes=situation.closes(proof),
        product=taken[0].product,
        lines=lines,
        worth=situation.worth(proof),
    )


def _said(situation: Situation, swaps: Sequence[Swap]) -> str:
    parts: list[str] = []
    for one in swaps:
        assert one.line.product is not None, "only a line with a product of its own swaps"
        stand_in, own = situation.name(one.product), situation.name(one.line.product)
        parts.append(
            _("{person} takes {stand_in} for {own} on {due} ({stems} stems)").format(
                person=situation.person(one.line),
                stand_in=stand_in,
                own=own,
                due=day_in_words(one.line.due),
                stems=one.line.stems,
            )
        )
    return _(" and ").join(parts)
