"""Plain aligned tables that fit the screen: numbers to the right, long texts wrapped inside their column."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TextIO

_GAP = 2
_NARROWEST_TEXT = 8
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

    def heading(self, line: str) -> str:
        """A line in bold where that is possible."""
        return f"\033[1m{line}\033[0m" if self.bold else line

    def paragraph(self, sentence: str, *, indent: str = "") -> str:
        """A sentence wrapped to the width."""
        return textwrap.fill(sentence, self.width, initial_indent=indent, subsequent_indent=indent)


@dataclass(frozen=True, slots=True)
class Column:
    """A column's title; numbers stand to the right and are never wrapped."""

    title: str
    right: bool = False


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]], screen: Screen) -> list[str]:
    """The lines of a table; a row takes several lines where a text had to be wrapped."""
    widths = _widths(columns, rows, screen.width)
    title_lines = _lines([column.title for column in columns], columns, widths)
    return [screen.heading(line) for line in title_lines] + [
        line for row in rows for line in _lines(row, columns, widths)
    ]


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int) -> list[int]:
    widths = [max(len(cell) for cell in cells) for cells in zip([c.title for c in columns], *rows, strict=True)]
    room = width - _GAP * (len(columns) - 1)
    while sum(widths) > room:
        wide = [at for at, column in enumerate(columns) if not column.right and widths[at] > _NARROWEST_TEXT]
        if not wide:
            break
        widths[max(wide, key=widths.__getitem__)] -= 1
    return widths


def _lines(row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> list[str]:
    cells = [
        [cell] if column.right else textwrap.wrap(cell, width) or [""]
        for cell, column, width in zip(row, columns, widths, strict=True)
    ]
    return [_line(parts, columns, widths) for parts in zip_longest(*cells, fillvalue="")]


def _line(parts: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> str:
    aligned = (
        part.rjust(width) if column.right else part.ljust(width)
        for part, column, width in zip(parts, columns, widths, strict=True)
    )
    return (" " * _GAP).join(aligned).rstrip()
