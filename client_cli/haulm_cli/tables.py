"""Plain aligned tables that fit the screen: no date, number or key is split while there is room for it elsewhere."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TextIO

from haulm_cli.fields import MISSING, TOGETHER

_GAP = 2
_INDENT = "    "
# As wide as a date.
_NARROWEST_TEXT = 10
_NARROWEST_SCREEN = 60
_WIDEST_SCREEN = 100


@dataclass(frozen=True, slots=True)
class Screen:
    """What the output is printed on: its width in columns, and whether bold type may be used."""

    width: int = _WIDEST_SCREEN
    bold: bool = False

    @classmethod
    def of(cls, stream: TextIO, environment: Mapping[str, str]) -> Screen:
        """The screen behind a stream; a file or a pipe gets plain text, 100 columns wide unless COLUMNS is set."""
        columns = shutil.get_terminal_size((_WIDEST_SCREEN, 24)).columns
        bold = stream.isatty() and not environment.get("NO_COLOR") and environment.get("TERM") != "dumb"
        return cls(width=min(max(columns, _NARROWEST_SCREEN), _WIDEST_SCREEN), bold=bold)

    def heading(self, sentence: str) -> str:
        """A sentence wrapped to the width, in bold where that is possible."""
        return self.emphasis(self.paragraph(sentence))

    def emphasis(self, shown: str) -> str:
        """Text as it stands, in bold where that is possible."""
        return f"\033[1m{shown}\033[0m" if self.bold else shown

    def paragraph(self, sentence: str) -> str:
        """A sentence wrapped to the width."""
        return "\n".join(_wrapped(sentence, self.width))


@dataclass(frozen=True, slots=True)
class Column:
    """A column's title; numbers stand to the right and are never wrapped.

    Where a table is too wide, columns that give way are taken out of it, the lowest number first, and stand
    under their row; 0 never gives way. What the column titled `said_by` begins with need not be said again there.
    """

    title: str
    right: bool = False
    gives_way: int = 0
    said_by: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """Which columns stand beside each other, by their position, and how wide; the others stand under their row."""

    columns: Sequence[Column]
    widths: Mapping[int, int]
    screen: Screen

    @classmethod
    def fitting(cls, columns: Sequence[Column], rows: Sequence[Sequence[str]], screen: Screen) -> Layout:
        """A layout for these rows, which may then be printed in several tables of the same columns."""
        measures = [_Measure.of(column, [row[at] for row in rows]) for at, column in enumerate(columns)]
        beside = list(range(len(columns)))
        for at in sorted((at for at in beside if columns[at].gives_way), key=lambda at: columns[at].gives_way):
            if sum(measures[kept].needed for kept in beside) <= _room(beside, screen):
                break
            beside.remove(at)
        return cls(columns, _widths({at: measures[at] for at in beside}, _room(beside, screen)), screen)

    def lines(self, rows: Sequence[Sequence[str]], notes: Sequence[str] = ()) -> list[str]:
        """Titles and rows; under each row what gave way, then its note, where there is one."""
        shown = [self.screen.emphasis(line) for line in self._beside([column.title for column in self.columns])]
        for row, note in zip_longest(rows, notes, fillvalue=MISSING):
            shown += self._beside(row)
            for said in (self._under(row), note):
                shown += [] if said == MISSING else _wrapped(said, self.screen.width, _INDENT)
        return shown

    def _beside(self, cells: Sequence[str]) -> list[str]:
        parts = [_wrapped(cells[at], width) or [""] for at, width in self.widths.items()]
        return [self._line(line) for line in zip_longest(*parts, fillvalue="")]

    def _line(self, parts: Sequence[str]) -> str:
        aligned = (
            part.rjust(width) if self.columns[at].right else part.ljust(width)
            for part, (at, width) in zip(parts, self.widths.items(), strict=True)
        )
        return (" " * _GAP).join(aligned).rstrip()

    def _under(self, row: Sequence[str]) -> str:
        of_title = dict(zip((column.title for column in self.columns), row, strict=True))
        parts = [
            f"{column.title}{TOGETHER}{cell}"
            for at, (column, cell) in enumerate(zip(self.columns, row, strict=True))
            if at not in self.widths and cell != MISSING and not _begins(of_title.get(column.said_by, ""), cell)
        ]
        return "; ".join(self._in_one_line(part) for part in parts) or MISSING

    def _in_one_line(self, part: str) -> str:
        room = self.screen.width - len(_INDENT) - len(";")
        return part.replace(" ", TOGETHER) if len(part) <= room else part


def table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], screen: Screen, notes: Sequence[str] = ()
) -> list[str]:
    """The lines of a table; a row takes several lines where it is too wide for one."""
    return Layout.fitting(columns, rows, screen).lines(rows, notes)


@dataclass(frozen=True, slots=True)
class _Measure:
    """Widths of a column, from comfort to distress: all in one line, cells whole, words whole, keys broken."""

    full: int
    needed: int
    words: int
    narrow: int

    @classmethod
    def of(cls, column: Column, cells: Sequence[str]) -> _Measure:
        longest = max(map(len, cells), default=0)
        title = _longest_word(column.title)
        whole = max(longest, title)
        words = whole if column.right else max(title, *map(_longest_word, cells), 0)
        return cls(
            full=max(longest, len(column.title)),
            needed=whole if column.gives_way else words,
            words=words,
            narrow=whole if column.right else min(words, _NARROWEST_TEXT),
        )


_FLOORS: tuple[Callable[[_Measure], int], ...] = (lambda m: m.needed, lambda m: m.words, lambda m: m.narrow)


def _widths(measures: Mapping[int, _Measure], room: int) -> dict[int, int]:
    """The widest columns are narrowed first, and none below one floor before all have come down to it."""
    widths = {at: measure.full for at, measure in measures.items()}
    for floor in _FLOORS:
        while sum(widths.values()) > room:
            wide = [at for at, width in widths.items() if width > floor(measures[at])]
            if not wide:
                break
            widths[max(wide, key=widths.__getitem__)] -= 1
    return widths


def _room(beside: Sequence[int], screen: Screen) -> int:
    return screen.width - _GAP * (len(beside) - 1)


def _longest_word(cell: str) -> int:
    return max(map(len, cell.split(" ")))


def _begins(key: str, start: str) -> bool:
    """Whether a key such as wed-1/2 begins with another such as wed-1, and not by chance."""
    return key.startswith(start) and not key[len(start) :][:1].isalnum()


def _wrapped(sentence: str, width: int, indent: str = "") -> list[str]:
    """Lines broken at spaces only, so that no date or key is split that fits a line."""
    lines = textwrap.wrap(sentence, width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)
    return [line.replace(TOGETHER, " ") for line in lines]
