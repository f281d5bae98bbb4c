"""CSV text as tables of cells: bytes in, cells by column out, with a fault for everything that is not a clean table.

Knows nothing of columns' meanings.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from haulm.farm.faults import Fault, quoted

_LONGEST_CELL = 131_072


@dataclass(frozen=True, slots=True)
class Table:
    """Cells without blanks around them.

    Attributes:
        header: the names in the first row.
        numbers: of each row of cells, its row number as a spreadsheet shows it.
        columns: for each name of the header, one cell per row.
        has_semicolons: whether semicolons part the cells, so that a comma may be a decimal point.
    """

    header: tuple[str, ...]
    numbers: tuple[int, ...]
    columns: tuple[tuple[str, ...], ...]
    has_semicolons: bool


def table_from_bytes(name: str, content: bytes) -> tuple[Table | None, tuple[Fault, ...]]:
    """The table in a file and its faults; no table where not even a header could be read."""
    text = text_from_bytes(name, content)
    if isinstance(text, Fault):
        return None, (text,)
    first = text.lstrip("\n").partition("\n")[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    records, fault = _records(name, text, delimiter)
    faults = [] if fault is None else [fault]
    if not records:
        return None, tuple(faults) or (Fault(name, 1, None, "an empty file", "a header row with the names of columns"),)
    header = tuple(cell.strip() for cell in records[0][1])
    faults += _header_faults(name, records[0][0], header)
    full = []
    for number, cells in records[1:]:
        if len(cells) == len(header):
            full.append((number, cells))
        else:
            accepted = f"{_cells(len(header))}, as many as the header has"
            faults.append(Fault(name, number, None, _cells(len(cells)), accepted))
    columns = tuple(tuple(map(str.strip, cells)) for cells in zip(*(cells for _, cells in full), strict=True))
    numbers = tuple(number for number, _ in full)
    return Table(header, numbers, columns or tuple(() for _ in header), delimiter == ";"), tuple(faults)


def text_from_bytes(name: str, content: bytes) -> str | Fault:
    """UTF-8 text with one kind of line end and without a byte order mark, or what is wrong with the bytes."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = error.object.count(b"\n", 0, error.start) + 1
        return Fault(name, row, None, f"the byte 0x{error.object[error.start]:02x}", "text in UTF-8")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    nul = text.find("\0")
    if nul >= 0:
        return Fault(name, text.count("\n", 0, nul) + 1, None, "a NUL character", "text without NUL characters")
    return text


def _records(name: str, text: str, delimiter: str) -> tuple[list[tuple[int, list[str]]], Fault | None]:
    """Rows that say something, numbered with the blank ones counted, up to the first that is not CSV."""
    records: list[tuple[int, list[str]]] = []
    number = 0
    lines = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    try:
        for number, cells in enumerate(lines, start=1):
            if "".join(cells).strip():
                records.append((number, cells))
    except csv.Error as error:
        return records, Fault(name, number + 1, None, *_misquoted(error))
    return records, None


def _misquoted(error: csv.Error) -> tuple[str, str]:
    if "unexpected end" in str(error):
        return "a quote that is never closed", 'a closing " for each opening one'
    if "field larger" in str(error):
        return "a cell that is too long", f"cells of at most {_LONGEST_CELL} characters"
    return 'text after a closing "', 'quotes as RFC 4180 has them: a " inside a quoted cell is doubled'


def _cells(number: int) -> str:
    return "1 cell" if number == 1 else f"{number} cells"


def _header_faults(name: str, row: int, header: Sequence[str]) -> Iterator[Fault]:
    seen = set()
    for column in header:
        if not column:
            yield Fault(name, row, None, "a column without a name", "a name for each column")
        elif column in seen:
            yield Fault(name, row, column, f"the column {quoted(column)} a second time", "each column once")
        seen.add(column)
