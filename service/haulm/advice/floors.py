"""Floors: what a promised line, and a delivery as a whole, may not fall below by another promise.

    at its promise                                f = min(L, c),       debt = 0
    after anything that is no accepted promise    f = min(L, c + debt)
    after an accepted promise                     f stays,             debt = max(debt, f - c)

c is how sure it is now and L the level it was promised at. So a floor falls by what records and weather took and rises
again with them, up to what was promised; and what an accepted promise took, a point at most, is taken once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.quantities import HAIR
from haulm.farm.words import LineClass, OrderPart

POINT = 0.01
"""What nobody would notice: so much a promise may take from what is guarded, once."""
"""Weights add up to 1 only as far as floating point goes."""


@dataclass(frozen=True, slots=True)
class Guarded:
    """What a floor is kept for: a line on its due day, or all that an order is due on that day (line None).

    Of an order in two parts the inner one has a floor of its own beside that of all of it: `part` says so.
    """

    order: str
    due: date
    line: str | None = None
    part: OrderPart | None = None


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure a promised line, or a delivery as a whole, is.

    Attributes:
        what: the line or the delivery.
        lines: its lines, one for a line; their spare is no part of it.
        confidence: weight of the seasons in which all of them are filled, 0-1.
        level: how sure it must be: the least level of its lines, 0-1.
    """

    what: Guarded
    lines: tuple[DatedLine, ...]
    confidence: float
    level: float

    def __post_init__(self) -> None:
        assert self.lines, "what is guarded has lines"
        assert 0 <= self.confidence <= 1 + HAIR, "seasons weigh 1 together"


@dataclass(frozen=True, slots=True)
class Kept:
    """What the book keeps of something guarded.

    Attributes:
        debt: what accepted promises have taken from its floor, 0 to a point.
        floor: its floor, where nothing but accepted promises has happened since; None: it follows how sure it is.
    """

    debt: float = 0.0
    floor: float | None = None


_NOTHING_KEPT = Kept()


@dataclass(frozen=True, slots=True)
class Floors:
    """The floors of a farm as it stands, from what the book keeps; most have nothing kept and follow."""

    kept: Mapping[Guarded, Kept] = field(default_factory=dict[Guarded, Kept])

    def of(self, sure: Sure) -> float:
        """The floor of something guarded, 0-1.

        Args:
            sure: how sure it is before the promise that is judged.
        """
        kept = self.kept.get(sure.what, _NOTHING_KEPT)
        return following(sure, kept.debt) if kept.floor is None else kept.floor

    def debt_of(self, what: Guarded) -> float:
        """What accepted promises have taken from its floor, 0 to a point."""
        return self.kept.get(what, _NOTHING_KEPT).debt

    def after_promise(self, before: Iterable[Sure], after: Mapping[Guarded, Sure]) -> dict[Guarded, Kept]:
        """What the book has to keep once a promise was accepted; what would follow anyway is left out.

        Args:
            before: what is guarded, as it was before; what was promised anew is no part of it.
            after: how sure the same is with the promise in its place.
        """
        found: dict[Guarded, Kept] = {}
        for sure in before:
            now = after.get(sure.what)
            if now is None or (now.confidence == sure.confidence and sure.what not in self.kept):
                continue
            floor, debt = self.of(sure), self.debt_of(sure.what)
            taken = floor - now.confidence
            owed = taken if taken > debt + HAIR else debt
            if owed != debt or abs(following(now, owed) - floor) > HAIR:
                found[sure.what] = Kept(owed, floor)
        return found


def following(sure: Sure, debt: float) -> float:
    """The floor after anything that is no accepted promise, 0-1."""
    return min(sure.level, sure.confidence + debt)


def kept_level(line: DatedLine, before: float) -> float:
    """The confidence below which nothing that advice proposes may take a line, 0-1: its floor, the book aside.

    Args:
        line: the line.
        before: its confidence now, 0-1.
    """
    return 0.0 if line.line_class is LineClass.STALL else min(line.level, before)


def guarded_lines(outlooks: Iterable[LineOutlook]) -> list[LineOutlook]:
    """The lines that somebody was promised: spare was promised to nobody, and the stall takes the rest."""
    return [
        outlook for outlook in outlooks if not outlook.line.is_spare and outlook.line.line_class is not LineClass.STALL
    ]


def sureness(
    outlooks: Iterable[LineOutlook], joint_of: Callable[[tuple[DatedLine, ...]], float]
) -> dict[Guarded, Sure]:
    """How sure everything promised is: each line, and each delivery, or inner part of one, of two lines or more.

    Args:
        outlooks: every line's outlook.
        joint_of: weight of the seasons in which all these lines of one delivery are filled.
    """
    found: dict[Guarded, Sure] = {}
    deliveries: dict[Guarded, list[DatedLine]] = {}
    for outlook in guarded_lines(outlooks):
        line = outlook.line
        what = Guarded(line.order, line.due, line.line)
        found[what] = Sure(what, (line,), outlook.confidence, line.level)
        deliveries.setdefault(Guarded(line.order, line.due), []).append(line)
        if line.part is OrderPart.STANDS:
            deliveries.setdefault(Guarded(line.order, line.due, part=line.part), []).append(line)
    for what, lines in deliveries.items():
        if len(lines) > 1:
            together = tuple(lines)
            found[what] = Sure(what, together, joint_of(together), joint_level(together))
    return found


def joint_level(lines: Sequence[DatedLine]) -> float:
    """How sure all these lines at once must be, 0-1: the least level of those that make the part what it is.

    Those are the lines that are sown for, where there are any: the larger part was promised with them.
    """
    return min(line.level for line in [line for line in lines if line.part is OrderPart.SOWN] or lines)
