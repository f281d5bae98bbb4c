"""What a match says of lines, deliveries and gaps over the seasons; what another match says too is carried over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from haulm.advice.shortfalls import Gap, LineOutlook, gaps_of, in_order, short_lines
from haulm.demand.dated_line import DatedLine
from haulm.farm.quantities import reaches
from haulm.farm.words import LineClass
from haulm.kept import Kept, carried
from haulm.matching.allocation.allocations import Allocation
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.confidence import means_of, weight_of, weights_of
from haulm.matching.supply import IntArray, Supply

_ROWS_AT_ONCE = 64
"""Lines looked at together: enough for one call to be worth it, few enough to stay in the processor's cache."""

_LEVELS_KEPT = 2


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


class _Takes(NamedTuple):
    """What is said of a line depends on the line, what it takes, and the weights of the seasons as bytes."""

    line: DatedLine
    takes: tuple[Allocation, ...]
    weights: bytes


@dataclass(frozen=True, eq=False)
class _Look:
    """What is said of a line, and the seasons in which it is filled, eight to a byte, shape (bytes,)."""

    outlook: LineOutlook
    filled: npt.NDArray[np.uint8]


_Short = tuple[str, tuple[LineOutlook, ...]]
"""What some lines ask, and these lines, all of them short."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What is said at a level of confidence, or at each line's own, by what it is said of; it holds on to no match."""

    deliveries: Mapping[tuple[_Look, ...], Delivery]
    gaps: Mapping[_Short, tuple[Gap, ...]]


@dataclass(frozen=True, eq=False)
class Outlooks:
    """The answers of one match over its seasons.

    A line with the very same takes has the very same outlook object as in the match it is like, and whatever is made of
    the same outlooks alone is the same too.

    Attributes:
        supply: what was matched.
        looks: by what it depends on, what is said of each line, in the strict order.
    """

    supply: Supply
    looks: Mapping[_Takes, _Look]
    _told: Kept[float | None, _Told] = field(default_factory=lambda: Kept(_LEVELS_KEPT))
    _told_before: Kept[float | None, _Told] = field(default_factory=lambda: Kept(_LEVELS_KEPT))

    @cached_property
    def _in_order(self) -> tuple[_Look, ...]:
        return tuple(self.looks.values())

    @cached_property
    def lines(self) -> tuple[LineOutlook, ...]:
        """Each line's confidence over the seasons, in the strict order."""
        return tuple(look.outlook for look in self._in_order)

    def deliveries(self, level: float | None) -> tuple[Delivery, ...]:
        """What each order is due on each day, by due date; its spare is no part of it."""
        return tuple(sorted(self._at(level).deliveries.values(), key=lambda one: (one.due, one.order, one.line_class)))

    def gaps(self, level: float | None) -> tuple[Gap, ...]:
        """What is short at a level of confidence, or at each line's own, earliest first."""
        return in_order(gap for gaps in self._at(level).gaps.values() for gap in gaps)

    def unlike(self, other: Outlooks, level: float | None) -> tuple[list[LineOutlook], list[Delivery]]:
        """The lines and, at a level, the deliveries of which others do not say the same of the same takes."""
        looks, deliveries = set(other._in_order), other._at(level).deliveries
        lines = [look.outlook for look in self._in_order if look not in looks]
        return lines, [one for held, one in self._at(level).deliveries.items() if held not in deliveries]

    def joint_of(self, places: Iterable[int]) -> float:
        """Weight of the seasons in which all these lines are filled, 0-1; places in the strict order."""
        return self._joint([self._in_order[place] for place in places])

    def _joint(self, looks: Iterable[_Look]) -> float:
        short = [look for look in looks if look.outlook.confidence < 1.0]
        if len(short) < 2:
            return short[0].outlook.confidence if short else 1.0
        every = np.bitwise_and.reduce([look.filled for look in short], axis=0)
        return weight_of(np.unpackbits(every, count=self.supply.seasons).view(np.bool_), self.supply.weights)

    def _at(self, level: float | None) -> _Told:
        return self._told.of(level, lambda: self._tell(level, self._told_before.known(level) or _Told({}, {})))

    def _tell(self, level: float | None, before: _Told) -> _Told:
        short = short_lines(self.lines, level).items()
        return _Told(
            carried(before.deliveries, self._held, lambda fresh: (self._delivery(looks, level) for looks in fresh)),
            carried(
                before.gaps,
                ((asked, tuple(lines)) for asked, lines in short),
                lambda fresh: (gaps_of(asked, lines, level) for asked, lines in fresh),
            ),
        )

    @cached_property
    def _held(self) -> tuple[tuple[_Look, ...], ...]:
        """The lines of each delivery, spare left out."""
        found: dict[tuple[date, str, int], list[_Look]] = {}
        for look in self._in_order:
            line = look.outlook.line
            if not line.is_spare:
                found.setdefault((line.due, line.order, line.class_rank), []).append(look)
        return tuple(map(tuple, found.values()))

    def _delivery(self, looks: Sequence[_Look], level: float | None) -> Delivery:
        line, joint = looks[0].outlook.line, self._joint(looks)
        missing = sum(look.outlook.expected_missing for look in looks)
        least = min(look.outlook.line.held_to(level) for look in looks)
        return Delivery(line.order, line.customer, line.due, line.line_class, len(looks), joint, missing, least)


def outlooks_of(result: MatchResult, like: Outlooks | None = None) -> Outlooks:
    """The outlooks of a match; what is said of the same takes is carried over from those they are like."""
    supply = result.supply
    keys = (_Takes(line, takes, supply.season_weights) for line, takes in zip(result.lines, result.takes, strict=True))
    looks = carried({} if like is None else like.looks, keys, lambda fresh: _looked_at(fresh, supply))
    return Outlooks(supply, looks) if like is None else Outlooks(supply, looks, _told_before=like._told)


def _looked_at(fresh: Sequence[_Takes], supply: Supply) -> Iterator[_Look]:
    """What is said of lines, some of them at once."""
    for first in range(0, len(fresh), _ROWS_AT_ONCE):
        some = fresh[first : first + _ROWS_AT_ONCE]
        missing = _missing(some, supply.seasons)
        full = missing == 0
        sure, mean = weights_of(full, supply.weights).tolist(), means_of(missing, supply.weights).tolist()
        for taken, confidence, lacks, bits in zip(some, sure, mean, np.packbits(full, axis=1), strict=True):
            yield _Look(LineOutlook(taken.line, confidence, lacks), bits.copy())


def _missing(some: Sequence[_Takes], seasons: int) -> IntArray:
    """Stems that lines lack in each season, shape (lines, seasons)."""
    missing = np.empty((len(some), seasons), np.int32)
    for row, (line, takes, _) in zip(missing, some, strict=True):
        row[:] = line.stems
        for take in takes:
            row -= take.stems
    return missing
