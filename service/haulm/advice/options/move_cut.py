"""One more cut in a week: stems that would go over, or come too late, between the farm's usual cut days."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from haulm.advice.options.option import Option, Proof
from haulm.advice.options.situation import Situation, Trial
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

_TRIED = 1
HOURS_OF_A_CUT = 1.0
"""Hours that one more cut of a kind takes [h] (from memory)."""


def move_cut(
    situation: Situation, rounds: Sequence[tuple[date, ...]], prove: Callable[[tuple[date, ...]], Trial]
) -> Option | None:
    """The extra cut days that close the gap, or help most and enough; None where none do.

    Args:
        situation: the gap.
        rounds: extra cut days to try together, the most promising first; none of them past.
        prove: re-matches the farm with these cut days added, for every line and product.
    """
    best: tuple[tuple[date, ...], Proof] | None = None
    for days in rounds[:_TRIED]:
        trial = prove(days)
        if not trial.falls and (best is None or trial.proof.missing < best[1].missing):
            best = days, trial.proof
            if situation.closes(trial.proof):
                break
    if best is None or not situation.is_worth_telling(best[1]):
        return None
    days, proof = best
    said = ", ".join(day_in_words(day) for day in days)
    return Option(
        kind="move_cut",
        sentence=_("Cut {asked} once more on {days}: {effect}.").format(
            asked=situation.asked, days=said, effect=situation.said(proof)
        ),
        decide_by=min(days),
        worth=situation.worth(proof, HOURS_OF_A_CUT * len(days)),
        before=situation.before,
        after=proof,
        closes=situation.closes(proof),
        cut_days=days,
    )
