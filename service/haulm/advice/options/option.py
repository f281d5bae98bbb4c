"""What an option is: what to do, by when, what it changes, what it costs, and the batches it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.quantities import HAIR, reaches

BROKEN_TIMES = 3
"""A broken promise costs the grower so many times what the stems are sold for (from memory)."""
PLENTY_TIMES = 3
"""A sowing that leaves so many times what is missing says so, and has to be cheap (from memory)."""
TRIFLE_MINOR = 300
"""What costs no more than this, less what is left over of it, is never too dear [minor units] (from memory)."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What a re-match says of a gap's lines.

    Attributes:
        sure: how sure each line is, in the order of the gap, 0-1.
        missing: stems they lack on average.
    """

    sure: tuple[float, ...]
    missing: float

    def __post_init__(self) -> None:
        assert self.sure, "a gap has lines to be sure of"
        assert self.missing >= -HAIR, "no line gets more than it asks"

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
class Worth:
    """What an option costs for what it gives; money in minor units.

    Attributes:
        spent_minor: seed, plugs, tubers, bought stems: what leaves the farm.
        place_minor: what bed and bench are worth for as long as it takes them.
        work_minor: what its hours cost, nought where the farm does not say what one costs.
        missing_stems: stems that the gap lacks without it, on average.
        gained_stems: stems of promises kept that would not have been, on average.
        gained_minor: what these are sold for.
        surplus_stems: stems beyond them, on average.
        surplus_minor: what those may bring at the stall.
        bought_minor: what the stems that are no longer missing would cost from another grower.
    """

    spent_minor: int
    place_minor: int
    work_minor: int
    missing_stems: float
    gained_stems: float
    gained_minor: int
    surplus_stems: int
    surplus_minor: int
    bought_minor: int = 0

    @property
    def net_minor(self) -> int:
        """All that it costs, less what is left over of it."""
        return self.spent_minor + self.place_minor + self.work_minor - self.surplus_minor

    @property
    def is_in_proportion(self) -> bool:
        """Whether it costs no more than what it keeps is worth, or less than buying in the same stems would."""
        return not self.is_dear or self.net_minor < self.bought_minor

    @property
    def is_dear(self) -> bool:
        """Whether it costs more than broken promises do; where it leaves plenty, more than their stems.

        A trifle is never dear, since what it helps is never counted to the last stem.
        """
        times = 1 if self.is_plenty else BROKEN_TIMES
        return self.net_minor > max(TRIFLE_MINOR, times * self.gained_minor)

    @property
    def is_plenty(self) -> bool:
        """Whether so much more comes of it than is wanted that it has to be said."""
        return self.surplus_stems > PLENTY_TIMES * self._wanted

    @property
    def _wanted(self) -> float:
        return max(self.missing_stems, self.gained_stems)


@dataclass(frozen=True, slots=True)
class Option:
    """One way to close a gap, or to live with it.

    Attributes:
        kind: succession, faster_kind, plugs, move_cut, fleece, swap, substitute, dried, ask_later, buy_in or tell.
        sentence: what to do, for people.
        decide_by: the last day on which it, or one like it and at most twice as large, can still be taken.
        before: the gap without it.
        after: the gap with it, by a re-match; None where nothing can be matched (telling, buying in).
        closes: whether every line of the gap reaches the level with it.
        cost_minor: the money it takes, by the farm's own figures or those to start from [minor units], or None.
        batches: the batches to add to the plan, exactly as they were proved.
        product: the substitute, the quicker kind, or the dried product that it is about, or None.
        lines: the lines whose customers are offered, swap, or are asked to do without.
        cut_days: the extra cut days.
        order_by: the last day to order what it needs (seed, plugs, tubers), or None where nothing is ordered, or it is
            too late to order and only what is at home will do.
        sow_by: the last day on which the batches, as they are, can be sown or planted; None where it is no sowing.
        worth: what it costs for what it gives; None where nobody can say (telling).
        is_near: whether it is a smaller one than what closes the gap, and leaves it a point or two short.
        at_home: whether what it needs is at home, or ordered.
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
    order_by: date | None = None
    sow_by: date | None = None
    worth: Worth | None = None
    is_near: bool = False
    at_home: bool = False

    @property
    def is_in_proportion(self) -> bool:
        """Whether it is worth recommending for what it gives."""
        return self.worth is None or self.worth.is_in_proportion

    @property
    def act_by(self) -> date:
        """The last day to do the next thing: to order until that is ticked, then to sow, else to take it at all."""
        if self.order_by is not None and not self.at_home:
            return self.order_by
        return self.decide_by if self.sow_by is None else self.sow_by
