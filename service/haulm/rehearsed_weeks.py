"""How well the weeks of a rehearsal went: what was said of each line on bucket day, could have been sent, and was."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import astuple, dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class RehearsedLine:
    """One line of one delivery.

    Attributes:
        order, due: the delivery, which is one letter.
        line: the line's key.
        asked: stems asked.
        yours: stems called theirs on the bucket day.
        up_to: stems it could become, by the same letter.
        possible: stems the match gives it with the season known.
        sent: stems that were sent.
    """

    order: str
    due: date
    line: str
    asked: int
    yours: int
    up_to: int
    possible: int
    sent: int

    @property
    def came(self) -> int:
        """Stems that there were for it, whether or not they were sent."""
        return max(self.possible, self.sent)


@dataclass(frozen=True, slots=True)
class Measured:
    """Rehearsed lines in figures; several seasons add up.

    Attributes:
        lines, letters: how many.
        asked, possible, sent: stems in all.
        said_less: letters in which some line could have got more than the most that was said.
        said_more: letters in which some line got fewer than were called theirs.
        lines_less: lines that could have got more than the most that was said.
        broken: lines that got fewer than were called theirs.
        reached: lines that got as many as it could become, or more.
    """

    lines: int = 0
    letters: int = 0
    asked: int = 0
    possible: int = 0
    sent: int = 0
    said_less: int = 0
    said_more: int = 0
    lines_less: int = 0
    broken: int = 0
    reached: int = 0

    def __add__(self, other: Measured) -> Measured:
        """Both together."""
        return Measured(*(one + two for one, two in zip(astuple(self), astuple(other), strict=True)))


def measured(lines: Iterable[RehearsedLine]) -> Measured:
    """The figures of some lines."""
    found = list(lines)
    less = [one for one in found if one.came > one.up_to]
    broken = [one for one in found if one.sent < one.yours]
    return Measured(
        lines=len(found),
        letters=len({(one.order, one.due) for one in found}),
        asked=sum(one.asked for one in found),
        possible=sum(one.possible for one in found),
        sent=sum(one.sent for one in found),
        said_less=len({(one.order, one.due) for one in less}),
        said_more=len({(one.order, one.due) for one in broken}),
        lines_less=len(less),
        broken=len(broken),
        reached=sum(one.sent >= one.up_to for one in found),
    )


def in_words(found: Measured) -> tuple[str, ...]:
    """The figures in sentences."""
    return (
        f"Of {found.possible} stems that could have been sent with the season known, {found.sent} were.",
        f"Of {found.letters} letters on bucket day {found.said_less} said less than came, and {found.said_more} more.",
        f"Of {found.lines} lines {found.broken} got fewer stems than were called theirs, and {found.reached} as many "
        "as it could become, or more.",
    )
