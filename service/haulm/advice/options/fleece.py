"""Fleece over a batch that frost would end while its stems are still needed: it goes on for some weeks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.options.option import Option
from haulm.advice.options.situation import Situation, Trial
from haulm.farm.batches import Batch
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

MINOR_PER_METRE = 60
"""Fleece for a metre of bed [minor units] (from memory)."""
HOURS_PER_METRE = 0.05
"""Hours of laying a metre of fleece and taking it off by day [h] (from memory)."""


@dataclass(frozen=True, slots=True)
class Covered:
    """Batches under fleece.

    Attributes:
        batches: the batches, with the cover.
        names: what each is called, with its bed.
        by: the last working day before frost has come in one season of twenty.
        metres: metres of bed that it takes [m].
    """

    batches: tuple[Batch, ...]
    names: tuple[str, ...]
    by: date
    metres: float


def fleece(situation: Situation, covers: Sequence[Covered], prove: Callable[[Covered], Trial]) -> Option | None:
    """The cover that closes the gap, or helps enough; None where none does.

    Args:
        situation: the gap.
        covers: what might be covered, the most promising first.
        prove: re-matches the farm with these batches under fleece.
    """
    for covered in covers[:1]:
        trial = prove(covered)
        if trial.falls or not situation.is_worth_telling(trial.proof):
            continue
        money = round(MINOR_PER_METRE * covered.metres)
        return Option(
            kind="fleece",
            sentence=_("Lay fleece over {names} before the first night of frost, by {by}: {effect}.").format(
                names=_(" and ").join(covered.names), by=day_in_words(covered.by), effect=situation.said(trial.proof)
            ),
            decide_by=covered.by,
            before=situation.before,
            after=trial.proof,
            closes=situation.closes(trial.proof),
            cost_minor=money,
            product=covered.batches[0].product,
            worth=situation.worth(trial.proof, HOURS_PER_METRE * covered.metres, spent=money),
        )
    return None
