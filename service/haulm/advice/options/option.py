"""What an option is: what to do, by when, what it changes, what it costs, and the batches it needs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.batches import Batch


@dataclass(frozen=True, slots=True)
class Proof:
    """What a re-match says of a gap's lines: the least sure line's confidence 0-1, and stems missing on average."""

    confidence: float
    missing: float


@dataclass(frozen=True, slots=True)
class Option:
    """One way to close a gap, or to live with it.

    Attributes:
        kind: succession, plugs, buy_in or tell.
        sentence: what to do, for people.
        decide_by: the last day on which it can still be taken.
        before: the gap without it.
        after: the gap with it, by a re-match; None where nothing can be matched (telling, buying in).
        closes: whether every line of the gap reaches the level with it.
        cost_minor: what it costs as far as the farm has said [minor units], or None.
        batches: the batches to add to the plan, exactly as they were proved.
    """

    kind: str
    sentence: str
    decide_by: date
    before: Proof
    after: Proof | None
    closes: bool
    cost_minor: int | None = None
    batches: tuple[Batch, ...] = ()
