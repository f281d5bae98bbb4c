"""Fresh stems that nobody needs hung to dry in time, for lines that take them dried."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.options.option import Option
from haulm.advice.options.situation import Situation, Trial
from haulm.farm.products import Product
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

_TRIED = 2
HOURS_PER_STEM = 1 / 150
"""Hours of bundling and hanging a stem [h] (from memory)."""


@dataclass(frozen=True, slots=True)
class Heap:
    """Stems to hang.

    Attributes:
        product: the dried product they become.
        day: the day they are hung.
        dry: the day they are dry.
        stems: so many, left over on that day at the level asked [stems].
    """

    product: Product
    day: date
    dry: date
    stems: int


def dried(situation: Situation, heaps: Sequence[Heap], prove: Callable[[Heap], Trial]) -> Option | None:
    """The heap that closes the gap, or helps enough; None where none does.

    Args:
        situation: the gap.
        heaps: what might be hung, the most promising first; none of them past.
        prove: re-matches the farm with the heap as dried stems, and no more of it in a season than is left over there.
    """
    for heap in heaps[:_TRIED]:
        trial = prove(heap)
        if trial.falls or not situation.is_worth_telling(trial.proof):
            continue
        fresh = Product(heap.product.variety)
        return Option(
            kind="dried",
            sentence=_("Hang {stems} stems of {name} that nobody needs on {day}, dry by {dry}: {effect}.").format(
                stems=heap.stems,
                name=situation.name(fresh),
                day=day_in_words(heap.day),
                dry=day_in_words(heap.dry),
                effect=situation.said(trial.proof),
            ),
            decide_by=heap.day,
            before=situation.before,
            after=trial.proof,
            closes=situation.closes(trial.proof),
            product=heap.product,
            worth=situation.worth(trial.proof, HOURS_PER_STEM * heap.stems),
        )
    return None
