"""The lines of the early warning: what is said, what of it fits, and what has to wait for the next letter."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

WIDTH = 76
MOST_LINES = 15
"""Lines of news and jobs in one letter, as they are printed; its head and its foot are apart."""
FIRST, SHORT, WORK, WAITING = "", "About what is short", "Due on the farm", "Waiting for you"
SECTIONS = (FIRST, SHORT, WORK, WAITING)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that the letter says.

    Attributes:
        section: under which title it stands.
        text: what it says.
        must: whether it is due within a week, and is never cut.
        gaps: the gaps it tells.
        tokens: what else it tells.
        missed: what it says of a day that has passed.
        is_news: whether no letter has told it.
    """

    section: str
    text: str
    must: bool = False
    gaps: tuple[str, ...] = ()
    tokens: tuple[str, ...] = ()
    missed: str = ""
    is_news: bool = True

    @property
    def lines(self) -> list[str]:
        """It as it is printed."""
        return wrapped(self.text)


@dataclass(frozen=True, slots=True)
class Body:
    """What is between the head and the foot of the letter: what it says, in the order given, and how much was cut."""

    items: tuple[Item, ...]
    cut: int = 0

    def of(self, section: str) -> tuple[Item, ...]:
        """What stands under a title."""
        return tuple(item for item in self.items if item.section == section)

    @property
    def more(self) -> str:
        """What is said of that which was cut; empty where all is there."""
        return f"And {self.cut} more, on the pages Today and Short." if self.cut else ""

    @property
    def lines(self) -> list[str]:
        """It as it is printed, with the titles."""
        found: list[str] = []
        for section in SECTIONS:
            items = self.of(section)
            found += [f"{section}:"] if items and section else []
            found += [line for item in items for line in item.lines]
        return [*found, *([self.more] if self.more else [])]


def fitted(items: Sequence[Item], most: int = MOST_LINES) -> Body:
    """As much as fits, in the order given; what is due within a week is never cut, whatever the length.

    Args:
        items: what there is to say, what matters most first.
        most: lines that it may take, with the titles and with the line that counts what was cut.
    """
    kept = [item for item in items if item.must]
    for item in items:
        if item.must:
            continue
        tried = _in_order(items, [*kept, item])
        if len(Body(tried, len(items) - len(tried)).lines) <= most:
            kept.append(item)
    return Body(_in_order(items, kept), len(items) - len(kept))


def wrapped(text: str, indent: str = "") -> list[str]:
    """A text as it is printed: lines of at most 76 characters, those after the first set in."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_long_words=False)


def _in_order(items: Iterable[Item], kept: Sequence[Item]) -> tuple[Item, ...]:
    return tuple(item for item in items if item in kept)
