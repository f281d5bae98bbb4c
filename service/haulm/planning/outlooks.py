"""What a match says of lines, deliveries and gaps over the seasons; where another match says it too, it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain
from operator import is_
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from haulm.advice.shortfalls import Gap, LineOutlook, gaps_of, in_order, short_lines
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.matching.confidence import means_of, reaches, weight_of, weights_of
from haulm.matching.result import MatchResult
from haulm.matching.supply import BoolArray, IntArray

_ROWS_AT_ONCE = 64
"""Lines looked at together: enough for one call to be worth it, few enough to stay in the processor's cache."""

K = TypeVar("K")
T = TypeVar("T")
_DeliveryKey = tuple[date, str, int]
_Known = Mapping[K, tuple[Sequence[LineOutlook], T]]
"""What was said of some lines, beside the outlooks it was said of."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """What one order is due on one day.

    Attributes:
        order, customer, due, line_class: which order, for whom, on which day, in which class.
        lines: number of its lines, the spare left out.
        joint_confidence: weight of the seasons in which all of them are filled, 0-1.
        expected_missing: stems they lack on average.
        level: the level it is held to: the least of its lines', 0-1.
    """

    order: str
    customer: str
    due: date
    line_class: LineClass
    lines: int
    joint_confidence: float
    expected_missing: float
    level: float

    @property
    def is_sure(self) -> bool:
        """Whether the joint confidence reaches its level."""
        return reaches(self.joint_confidence, self.level)


@dataclass(frozen=True, slots=True)
class _Told:
    """What was said at a level of confidence, or at each line's own; it holds on to no match."""

    level: float | None
    deliveries: _Known[_DeliveryKey, Delivery]
    gaps: _Known[str, tuple[Gap, ...]]


class Outlooks:
    """The answers of one match over its seasons.

    A line with the very same takes has the very same outlook object as in the match it is like, and whatever is made of
    the same outlooks alone is the same too.

    Attributes:
        lines: each line's confidence over the seasons, in the strict order.
    """

    def __init__(self, result: MatchResult, like: Outlooks | None = None) -> None:
        """The outlooks of a match; where it is `like` another, what has stayed is not worked out again."""
        self._result = result
        self._told: _Told | None = None
        self._told_before = None if like is None else like._told
        places = [-1] * len(result.lines) if like is None else like._places_of(result)
        self.lines, self._filled = _looked_at(result, places, like)

    def deliveries(self, level: float | None) -> tuple[Delivery, ...]:
        """What each order is due on each day, by due date; its spare is no part of it."""
        found = (delivery for _, delivery in self._at(level).deliveries.values())
        return tuple(sorted(found, key=lambda item: (item.due, item.order, item.line_class)))

    def gaps(self, level: float | None) -> tuple[Gap, ...]:
        """What is short at a level of confidence, or at each line's own, earliest first."""
        return in_order(gap for _, gaps in self._at(level).gaps.values() for gap in gaps)

    def joint_of(self, places: Iterable[int]) -> float:
        """Weight of the seasons in which all these lines are filled, 0-1; places in the strict order."""
        short = [place for place in places if self.lines[place].confidence < 1.0]
        if len(short) < 2:
            return self.lines[short[0]].confidence if short else 1.0
        supply = self._result.supply
        every = np.bitwise_and.reduce(self._filled[short], axis=0)
        return weight_of(np.unpackbits(every, count=supply.seasons).view(np.bool_), supply.weights)

    def _places_of(self, result: MatchResult) -> list[int]:
        """The places here of another match's lines where they are the very same with the very same takes, else -1."""
        if result.supply.weights is not self._result.supply.weights:
            return [-1] * len(result.lines)
        takes = self._result.takes
        found = map(self._result.places_by_identity.get, map(id, result.lines))
        return [
            -1 if place is None or takes[place] is not taken else place
            for place, taken in zip(found, result.takes, strict=True)
        ]

    def _at(self, level: float | None) -> _Told:
        told = self._told
        if told is None or told.level != level:
            before = self._told_before
            if before is None or before.level != level:
                before = _Told(level, {}, {})
            told = _Told(level, self._deliveries(level, before.deliveries), self._gaps(level, before.gaps))
            self._told = told
        return told

    def _deliveries(
        self, level: float | None, before: _Known[_DeliveryKey, Delivery]
    ) -> _Known[_DeliveryKey, Delivery]:
        touched = self._touched(before)
        orders = {order for _, order, _ in touched}
        places: dict[_DeliveryKey, list[int]] = {}
        for place, line in enumerate(self._result.lines):
            if line.order in orders and not line.is_spare and (key := _delivery_key(line)) in touched:
                places.setdefault(key, []).append(place)
        fresh = {key: self._delivery(held, level) for key, held in places.items()}
        return {key: told for key, told in before.items() if key not in touched} | fresh

    def _touched(self, before: _Known[_DeliveryKey, Delivery]) -> set[_DeliveryKey]:
        """Deliveries that have a line of which nothing was said before, or had one of which it no longer holds."""
        then = set(map(id, chain.from_iterable(outlooks for outlooks, _ in before.values())))
        now = set(map(id, self.lines))
        fresh = (outlook.line for outlook in self.lines if id(outlook) not in then)
        new = {_delivery_key(line) for line in fresh if not line.is_spare}
        return new | {key for key, (outlooks, _) in before.items() if not now.issuperset(map(id, outlooks))}

    def _delivery(self, places: Sequence[int], level: float | None) -> tuple[list[LineOutlook], Delivery]:
        outlooks = [self.lines[place] for place in places]
        line, joint = outlooks[0].line, self.joint_of(places)
        missing = sum(outlook.expected_missing for outlook in outlooks)
        least = min(outlook.line.held_to(level) for outlook in outlooks)
        found = Delivery(line.order, line.customer, line.due, line.line_class, len(places), joint, missing, least)
        return outlooks, found

    def _gaps(self, level: float | None, before: _Known[str, tuple[Gap, ...]]) -> _Known[str, tuple[Gap, ...]]:
        short = short_lines(self.lines, level)
        return {
            asked: before[asked] if _is_same(lines, before.get(asked)) else (lines, gaps_of(asked, lines, level))
            for asked, lines in short.items()
        }


def _is_same(outlooks: Sequence[LineOutlook], told: tuple[Sequence[LineOutlook], object] | None) -> bool:
    """Whether something was said of the very same outlooks."""
    return told is not None and len(told[0]) == len(outlooks) and all(map(is_, told[0], outlooks))


def _delivery_key(line: DatedLine) -> _DeliveryKey:
    return (line.due, line.order, line.class_rank)


def _looked_at(
    result: MatchResult, before: Sequence[int], like: Outlooks | None
) -> tuple[tuple[LineOutlook, ...], npt.NDArray[np.uint8]]:
    """Each line's outlook, and the seasons in which it is filled, eight to a byte, shape (lines, bytes).

    Args:
        result: the match.
        before: per line, its place among the outlooks it is like, or -1.
        like: these outlooks.
    """
    filled = np.empty((len(before), (result.supply.seasons + 7) // 8), np.uint8)
    found: dict[int, LineOutlook] = {}
    stayed = [place for place, then in enumerate(before) if then >= 0]
    if like is not None and stayed:
        filled[stayed] = like._filled[[before[place] for place in stayed]]
        found = {place: like.lines[before[place]] for place in stayed}
    fresh = [place for place, then in enumerate(before) if then < 0]
    for first in range(0, len(fresh), _ROWS_AT_ONCE):
        places = fresh[first : first + _ROWS_AT_ONCE]
        missing = _missing(result, places)
        full = missing == 0
        filled[places] = np.packbits(full, axis=1)
        found |= _outlooks(result, places, full, missing)
    return tuple(found[place] for place in range(len(before))), filled


def _outlooks(result: MatchResult, places: Sequence[int], full: BoolArray, missing: IntArray) -> dict[int, LineOutlook]:
    """The outlooks of lines by place; full and missing of shape (lines, seasons)."""
    weights = result.supply.weights
    told = zip(weights_of(full, weights).tolist(), means_of(missing, weights).tolist(), strict=True)
    return {place: LineOutlook(result.lines[place], *one) for place, one in zip(places, told, strict=True)}


def _missing(result: MatchResult, places: Sequence[int]) -> IntArray:
    """Stems that lines lack in each season, shape (lines, seasons)."""
    missing = np.empty((len(places), result.supply.seasons), np.int32)
    for row, place in zip(missing, places, strict=True):
        row[:] = result.lines[place].stems
        for take in result.takes[place]:
            row -= take.stems
    return missing
