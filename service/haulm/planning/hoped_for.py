"""What may be in season for an order on several days at once: the stems nobody else uses, shared out to its lines.

Not for what is accepted: that is a match of the whole farm. Here only what is left over counts, so that dozens of days
cost little more than one; all lines of a day draw on the same stems, one after the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.kept import Kept
from haulm.matching.allocation.candidates import most_each
from haulm.matching.allocation.match import rematch
from haulm.matching.reading.confidence import weight_of
from haulm.matching.reading.free_to_promise import free_for_line, still_free
from haulm.matching.supply import IntArray
from haulm.matching.windows import Window
from haulm.planning.plan import Plan

LEAST_STEMS = 0.5
"""A kind of which not even one stem is to be expected is not hoped for."""
_LOOKS_KEPT = 256
_Key = tuple[Product, str | None, int | None, int]


@dataclass(frozen=True, slots=True)
class Hoped:
    """A kind that may come for a line: stems on average, no more than the line asks, and how likely any are, 0-1."""

    product: Product
    stems: int
    likelihood: float


@dataclass(frozen=True, slots=True)
class DayOutlook:
    """What is left over for the lines of an order on one day.

    Attributes:
        due: the day the stems leave.
        joint: weight of the seasons in which all lines are filled from it, 0-1.
        confidences: of each line, in the order given.
        expected: stems of each line on average.
    """

    due: date
    joint: float
    confidences: tuple[float, ...]
    expected: tuple[float, ...]


class LeftOver:
    """The stems left over for lines due on some days, looked up once per product and stage."""

    def __init__(self, plan: Plan, dues: Sequence[date]) -> None:
        """Nothing is looked up yet."""
        self._plan = plan
        self._dues = tuple(dues)
        self._known: Kept[_Key, IntArray] = Kept(_LOOKS_KEPT)

    def of(self, product: Product, line: OrderLine) -> IntArray:
        """Stems left over that a line may have, shape (days, seasons)."""
        return self._known.of(_key(product, line), lambda: self._left(product, line))

    def _left(self, product: Product, line: OrderLine) -> IntArray:
        windows = [Window(due, line.stage, line.max_age_days) for due in self._dues]
        found = still_free(self._plan.result, product, windows, line.min_length_cm)
        return np.broadcast_to(found, (len(self._dues), self._plan.result.supply.seasons))

    def hoped_for(self, line: OrderLine, products: Iterable[Product], *, at: int = 0) -> tuple[Hoped, ...]:
        """The kinds that may come for a line on one of the days, those with most stems first."""
        weights = self._plan.result.supply.weights
        found = []
        for product in products:
            stems = self.of(product, line)[at]
            mean = float(np.minimum(stems, line.stems) @ weights)
            if mean >= LEAST_STEMS:
                found.append(Hoped(product, max(1, round(mean)), weight_of(stems > 0, weights)))
        return tuple(sorted(found, key=lambda hoped: (-hoped.stems, -hoped.likelihood, hoped.product)))

    def sure(self, line: OrderLine, products: Sequence[Product], *, levels: Sequence[float], at: int = 0) -> list[int]:
        """Stems a line could be given at each level with nobody losing one; a choice takes at most its limit of one.

        A limit that is all of the line is none: more than the line asks may be free.
        """
        left = [self.of(product, line)[at : at + 1] for product in products]
        free = free_for_line(left, _most_each(line), self._plan.result.supply.weights, levels)
        return [int(stems) for stems in free[:, 0]]

    def outlook(self, lines: Sequence[tuple[OrderLine, Sequence[Product]]], *, at: int) -> DayOutlook:
        """How the lines of an order fare on one of the days, each after those before it."""
        weights = self._plan.result.supply.weights
        used: dict[_Key, IntArray] = {}
        every = np.ones(len(weights), np.bool_)
        confidences, expected = [], []
        for line, products in lines:
            got = self._taken(line, products, at, used)
            full = got >= line.stems
            every &= full
            confidences.append(weight_of(full, weights))
            expected.append(float(got @ weights))
        return DayOutlook(self._dues[at], weight_of(every, weights), tuple(confidences), tuple(expected))

    def _taken(
        self,
        line: OrderLine,
        products: Sequence[Product],
        at: int,
        used: dict[_Key, IntArray],
    ) -> IntArray:
        """Stems that a line takes in each season; what it takes is used up for those after it."""
        got: IntArray = np.zeros(self._plan.result.supply.seasons, np.int32)
        each = _most_each(line)
        for product in products:
            key = _key(product, line)
            left = used.get(key)
            left = self.of(product, line)[at] if left is None else left
            most = line.stems - got if each is None else np.minimum(line.stems - got, each)
            taken = np.minimum(left, most)
            used[key] = left - taken
            got = got + taken
        return got


def left_for(plan: Plan, order: str, line: str, due: date) -> LeftOver:
    """What is left over for a line of an order, those of its lines that are served before it having theirs.

    So what is free for a line, and how sure the line is, answer one question: as many as are free are sure enough.

    Args:
        plan: a plan with the order in its place.
        order: its key.
        line: the line's key.
        due: the day the stems leave.
    """
    result = plan.result
    place = next(at for at, one in enumerate(result.lines) if one.line == line and not one.is_spare)
    before = [one for at, one in enumerate(result.lines) if one.order != order or at < place]
    return LeftOver(replace(plan, result=rematch(result, before, result.supply)), [due])


def _most_each(line: OrderLine) -> int | None:
    """The most stems of one product; None where it may be all of the line."""
    each = most_each(line)
    return each if each is not None and each < line.stems else None


def _key(product: Product, line: OrderLine) -> _Key:
    return product, line.stage, line.max_age_days, line.min_length_cm
