"""Whether a promise may be accepted: the new lines must be sure enough, and nobody promised before may fall."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass

_SURE = 1e-9
"""Weights add up to 1 only as far as floating point goes."""


@dataclass(frozen=True, slots=True)
class Fall:
    """An earlier line that the new promise would make less sure.

    Attributes:
        line: the earlier line.
        floor: what it must keep: the lesser of its promised confidence and its confidence just before.
        before: its confidence just before, 0-1.
        after: its confidence with the new lines in place, 0-1.
    """

    line: DatedLine
    floor: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of a promise asked for.

    Attributes:
        level: the confidence asked, 0-1.
        new: each new line with its confidence.
        joint: weight of the seasons in which all new lines are filled at once, 0-1.
        falls: the earlier lines that would fall below their floor, the worst first.
        displaced: the earlier lines that would be less sure but keep their floor, those that lose most first.
    """

    level: float
    new: tuple[LineOutlook, ...]
    joint: float
    falls: tuple[Fall, ...]
    displaced: tuple[Fall, ...] = ()

    @property
    def unsure(self) -> tuple[LineOutlook, ...]:
        """The new lines that do not reach the level."""
        return tuple(outlook for outlook in self.new if outlook.confidence < self.level - _SURE)

    @property
    def accepted(self) -> bool:
        """Whether each new line, and all together, reach the level and nobody falls."""
        return not self.unsure and not self.falls and self.joint >= self.level - _SURE


def verdict(
    before: Iterable[LineOutlook], after: Iterable[LineOutlook], new_order: str, joint: float, *, levels: Levels
) -> Verdict:
    """The judgement from two matches: the farm as it is, and the farm with the new lines in their real place.

    Args:
        before: every line's outlook without the new promise.
        after: every line's outlook with it.
        new_order: key of the order whose lines are new.
        joint: weight of the seasons in which all lines of the order are filled.
        levels: the confidence asked, and the farm's own for lines with no promised confidence.
    """
    then = {_key(outlook.line): outlook.confidence for outlook in before}
    new: list[LineOutlook] = []
    lowered: list[Fall] = []
    for outlook in after:
        if outlook.line.is_spare:
            continue
        if outlook.line.order == new_order:
            new.append(outlook)
        elif (fall := _lowered(outlook, then, levels.usual)) is not None:
            lowered.append(fall)
    falls = [fall for fall in lowered if fall.after < fall.floor - _SURE]
    displaced = [fall for fall in lowered if fall.after >= fall.floor - _SURE]
    falls.sort(key=lambda fall: (fall.after - fall.floor, fall.line.precedence))
    displaced.sort(key=lambda fall: (fall.after - fall.before, fall.line.precedence))
    return Verdict(levels.asked, tuple(new), joint, tuple(falls), tuple(displaced))


@dataclass(frozen=True, slots=True)
class Levels:
    """The confidence asked for the new promise, and the farm's usual one, both 0-1."""

    asked: float
    usual: float


def _lowered(outlook: LineOutlook, then: Mapping[tuple[str, object], float], usual: float) -> Fall | None:
    """How far a line goes down, or None where it does not. The stall takes the rest: it keeps no level unless said."""
    line = outlook.line
    before = then.get(_key(line), 0.0)
    if outlook.confidence >= before - _SURE:
        return None
    return Fall(line, kept_level(line, before, usual), before, outlook.confidence)


def kept_level(line: DatedLine, before: float, usual: float) -> float:
    """The confidence below which nothing that is done for others may take a line, 0-1.

    The level it was promised at (the farm's usual one where none was noted, none for the stall), but no more than it
    has now.

    Args:
        line: the line.
        before: its confidence now, 0-1.
        usual: the farm's usual level, 0-1.
    """
    level = 0.0 if line.line_class is LineClass.STALL else usual
    promised = level if line.promised_confidence is None else line.promised_confidence
    return min(promised, before)


def _key(line: DatedLine) -> tuple[str, object]:
    return (line.line, line.due)
