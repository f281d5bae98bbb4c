"""A farm folder with one cell spoilt: every cell there is, and what a hand or a spreadsheet may put into it."""

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

SPOILS = (
    b"",
    b"x",
    b"-1",
    b"1e9",
    b"2027-13-45",
    "\u00df\u2028\u00e9".encode(),
    b"nul\0",
    b'"',
    b";",
    b",",
    b"y" * 3000,
    b"=1+1",
    b"  ",
    b"lagurus",
    b"a\nb",
    b"9" * 20,
    b"2027-06-01",
    b"{'a':",
    b"\xff\xfe",
)
"""Put in as they are, without the quotes that CSV would need: some spoil the cell, some the row or the whole file.

As many as share no divisor with the columns of a file, so that each column meets each of them.
"""
_CSV_CELL = re.compile(rb'("(?:[^"]|"")*"|[^,\n"]*)[,\n]')
_TOML_VALUE = re.compile(rb'(?:(?<== )|(?<=\[)|(?<=, ))("[^"\n]*"|[-\w.]+)')


@dataclass(frozen=True)
class Spoilt:
    """One file of a folder with one cell spoilt: the cell, counted through the file, and the bytes of the file."""

    file: str
    cell: int
    spoil: bytes
    content: bytes = field(repr=False)


def spoilt_cells(name: str, content: bytes, *, every: int = 1, turn: int = 0) -> Iterator[Spoilt]:
    """A canonical file with one cell after another spoilt, headers included; the spoils take turns.

    Args:
        name: of the file.
        content: its bytes.
        every: spoil each so many cells only; 1 for all.
        turn: which of the spoils comes first.
    """
    spoils = itertools.islice(itertools.cycle(SPOILS), turn % len(SPOILS), None)
    numbered = enumerate(zip(cell_spans(name, content), spoils, strict=False))
    for number, ((start, end), spoil) in itertools.islice(numbered, 0, None, every):
        yield Spoilt(name, number, spoil, content[:start] + spoil + content[end:])


def cell_spans(name: str, content: bytes) -> list[tuple[int, int]]:
    """Where each cell of a canonical file begins and ends; in farm.toml each value, without its quotes, and title."""
    if name.endswith(".csv"):
        return [found.span(1) for found in _CSV_CELL.finditer(content)]
    spans = [found.span(1) for found in _TOML_VALUE.finditer(content)]
    return [(start + 1, end - 1) if content[start:end].startswith(b'"') else (start, end) for start, end in spans]
