"""Whether a promise may be accepted: what it asks must be sure enough, and nothing promised before may fall."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from datetime import date

from haulm.advice.floors import POINT, Floors, Guarded, Kept, Sure
from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.quantities import HAIR, reaches

"""Weights add up to 1 only as far as floating point goes."""


@dataclass(frozen=True, slots=True)
class Fall:
    """An earlier line, or an earlier delivery as a whole, that the new promise would make less sure.

    Attributes:
        what: the line or the delivery.
        lines: the line, or the lines of the delivery.
        floor: what it must keep, 0-1.
        before: its confidence just before, 0-1.
        after: its confidence with the new lines in place, 0-1.
    """

    what: Guarded
    lines: tuple[DatedLine, ...]
    floor: float
    before: float
    after: float

    def __post_init__(self) -> None:
        assert self.lines, "something of a promise falls"
        assert 0 <= self.floor <= 1 + HAIR, "a floor is a share of the seasons"

    @property
    def customer(self) -> str:
        """Key of the customer whose it is."""
        return self.lines[0].customer

    @property
    def line(self) -> DatedLine | None:
        """The line; None for a delivery as a whole."""
        return None if self.what.line is None else self.lines[0]

    @property
    def is_below(self) -> bool:
        """Whether it would be below its floor by more than nobody would notice."""
        return not reaches(self.after, self.floor - POINT)


@dataclass(frozen=True, slots=True)
class NewPromise:
    """A promise that is asked.

    Attributes:
        order: key of the order that must reach the level.
        level: the confidence asked of each of its new lines and of the order jointly, 0-1; 0 where none is.
        joint: weight of the seasons in which all lines of the order are filled, 0-1.
        anew: lines that are promised anew, of whatever order, by key and due day: no floor holds for them, nor for
            the deliveries they belong to. None: every line of the order.
    """

    order: str
    level: float
    joint: float
    anew: Set[tuple[str, date]] | None = None

    def __post_init__(self) -> None:
        assert 0 <= self.level <= 1, "a level is a share of the seasons"
        assert 0 <= self.joint <= 1 + HAIR, "seasons weigh 1 together"

    def is_anew(self, line: DatedLine) -> bool:
        """Whether a line is promised anew; a line and its own spare are told apart by whoever asks."""
        return line.order == self.order if self.anew is None else (line.line, line.due) in self.anew


@dataclass(frozen=True, slots=True)
class Moment:
    """The farm at one moment: every line's outlook, and how sure everything promised is."""

    outlooks: tuple[LineOutlook, ...]
    sure: Mapping[Guarded, Sure]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of a promise asked for.

    Attributes:
        level: the confidence asked, 0-1.
        new: each new line with its confidence.
        joint: weight of the seasons in which all new lines are filled at once, 0-1.
        falls: earlier lines and deliveries that would fall below their floor, the worst first.
        displaced: those that would be less sure but keep their floor, those that lose most first.
        promised: how sure what is promised anew would be: its lines and its deliveries.
        kept: what the book has to keep of others, once the promise is accepted.
    """

    level: float
    new: tuple[LineOutlook, ...]
    joint: float
    falls: tuple[Fall, ...]
    displaced: tuple[Fall, ...] = ()
    promised: tuple[Sure, ...] = ()
    kept: Mapping[Guarded, Kept] = field(default_factory=dict[Guarded, Kept])

    @property
    def unsure(self) -> tuple[LineOutlook, ...]:
        """The new lines that do not reach the level."""
        return tuple(outlook for outlook in self.new if not reaches(outlook.confidence, self.level))

    @property
    def is_sure(self) -> bool:
        """Whether each new line, and all together, reach the level."""
        return not self.unsure and reaches(self.joint, self.level)

    @property
    def accepted(self) -> bool:
        """Whether it is sure enough, and nothing falls."""
        return self.is_sure and not self.falls


def verdict(before: Moment, after: Moment, promise: NewPromise, floors: Floors) -> Verdict:
    """The judgement from two matches: the farm as it is, and the farm with the new lines in their real place.

    Args:
        before: the farm without the new promise.
        after: the farm with it.
        promise: what is asked.
        floors: the floors just before.
    """
    new = [outlook for outlook in after.outlooks if outlook.line.order == promise.order and _is_new(outlook, promise)]
    promised = [sure for sure in after.sure.values() if any(map(promise.is_anew, sure.lines))]
    anew = {sure.what for sure in promised}
    earlier = [sure for what, sure in before.sure.items() if what not in anew and what in after.sure]
    lowered = [
        Fall(sure.what, after.sure[sure.what].lines, floors.of(sure), sure.confidence, after.sure[sure.what].confidence)
        for sure in earlier
        if not reaches(after.sure[sure.what].confidence, sure.confidence)
    ]
    falls = [fall for fall in lowered if fall.is_below]
    displaced = [fall for fall in lowered if not fall.is_below]
    falls.sort(key=lambda fall: (fall.after - fall.floor, *_rank(fall)))
    displaced.sort(key=lambda fall: (fall.after - fall.before, *_rank(fall)))
    kept = floors.after_promise(earlier, after.sure)
    return Verdict(promise.level, tuple(new), promise.joint, tuple(falls), tuple(displaced), tuple(promised), kept)


def _is_new(outlook: LineOutlook, promise: NewPromise) -> bool:
    return not outlook.line.is_spare and promise.is_anew(outlook.line)


def _rank(fall: Fall) -> tuple[object, ...]:
    """Lines before the delivery they belong to."""
    return (fall.lines[0].precedence, fall.line is None)
