"""What an option is: what to do, by when, what it changes, what it costs, and the batches it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.matching.confidence import reaches


@dataclass(frozen=True, slots=True)
class Proof:
    """What a re-match says of a gap's lines.

    Attributes:
        sure: how sure each line is, in the order of the gap, 0-1.
        missing: stems they lack on average.
    """

    sure: tuple[float, ...]
    missing: float

    @property
    def confidence(self) -> float:
        """How sure the least sure line is, 0-1."""
        return min(self.sure)

    def reaches(self, levels: Sequence[float]) -> bool:
        """Whether every line reaches a level of its own, in the order of the gap."""
        return all(reaches(share, level) for share, level in zip(self.sure, levels, strict=True))

    def lacks(self, levels: Sequence[float]) -> float:
        """The most that a line is below its level; below nought where every line is above."""
        return max(level - share for share, level in zip(self.sure, levels, strict=True))


@dataclass(frozen=True, slots=True)
class Option:
    """One way to close a gap, or to live with it.

    Attributes:
        kind: succession, faster_kind, plugs, move_cut, swap, substitute, dried, ask_later, buy_in or tell.
        sentence: what to do, for people.
        decide_by: the last day on which it can still be taken.
        before: the gap without it.
        after: the gap with it, by a re-match; None where nothing can be matched (telling, buying in).
        closes: whether every line of the gap reaches the level with it.
        cost_minor: what it costs as far as the farm has said [minor units], or None.
        batches: the batches to add to the plan, exactly as they were proved.
        product: the substitute, the quicker kind, or the dried product that it is about, or None.
        lines: the lines whose customers are offered, swap, or are asked to do without.
        cut_days: the extra cut days.
    """

    kind: str
    sentence: str
    decide_by: date
    before: Proof
    after: Proof | None
    closes: bool
    cost_minor: int | None = None
    batches: tuple[Batch, ...] = ()
    product: Product | None = None
    lines: tuple[DatedLine, ...] = ()
    cut_days: tuple[date, ...] = ()
