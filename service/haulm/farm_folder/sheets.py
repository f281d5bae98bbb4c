"""A sheet somebody pastes or sends: bytes or text of whatever program into rows of cells, as text.

Encodings are told by charset-normalizer, workbooks read by openpyxl; nothing of a file is kept.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import charset_normalizer
from openpyxl import load_workbook

from haulm.errors import NotAccepted
from haulm.farm_folder.kinds import number_text

MOST_BYTES = 1_000_000
MOST_LETTERS = 300_000
MOST_ROWS, MOST_COLUMNS, MOST_CELL = 2000, 40, 400
_MOST_UNPACKED = 30_000_000
_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_DELIMITERS = "\t;,|"
_ENCODINGS = ("utf_8", "utf_16", "utf_16_le", "cp1252", "cp1250", "cp1251")
"""What spreadsheets save text in where farms lie; a guess among all there are makes strange letters of short sheets."""
_WHERE = "the sheet"


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows of cells, each row as long as the widest; empty rows are left out.

    Attributes:
        rows: the cells as text, trimmed.
        numbers: the number of each row in what was sent, the first is 1.
    """

    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]

    @property
    def as_text(self) -> str:
        """The sheet with tabs between cells, empty rows where they were; reading it gives the sheet again."""
        lines = dict(zip(self.numbers, ("\t".join(row) for row in self.rows), strict=True))
        return "\n".join(lines.get(number, "") for number in range(1, max(self.numbers, default=0) + 1))


def sheet_from_bytes(content: bytes) -> Sheet:
    """The first sheet of a workbook, or the table of a text file.

    Raises:
        NotAccepted: it is too large, or no sheet that can be read.
    """
    if len(content) > MOST_BYTES:
        raise NotAccepted(
            where=_WHERE, found=f"{len(content):,} bytes", accepted=f"a file of {MOST_BYTES:,} bytes at most"
        )
    if content.startswith(_ZIP):
        return _workbook(content)
    if content.startswith(_OLD_WORKBOOK):
        raise NotAccepted(where=_WHERE, found="a workbook of an old kind", accepted="it saved as .xlsx or as CSV")
    best = charset_normalizer.from_bytes(content, cp_isolation=list(_ENCODINGS)).best()
    if best is None or (b"\0" in content and not best.encoding.startswith("utf_")):
        raise NotAccepted(where=_WHERE, found="bytes that are no text", accepted="a CSV file or an .xlsx workbook")
    return sheet_from_text(str(best))


def sheet_from_text(text: str) -> Sheet:
    """Pasted cells, or the text of a CSV file: tabs, semicolons, commas or bars between cells, whichever there are.

    Raises:
        NotAccepted: there is nothing in it, or too much.
    """
    if len(text) > MOST_LETTERS:
        raise NotAccepted(where=_WHERE, found=f"{len(text):,} letters", accepted=f"{MOST_LETTERS:,} letters at most")
    plain = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    reader = csv.reader(io.StringIO(plain), delimiter=_delimiter(plain), skipinitialspace=True)
    try:
        return _sheet(list(reader))
    except csv.Error as error:
        raise NotAccepted(where=_WHERE, found=f"a table that breaks off ({error})", accepted="rows of cells") from None


def _delimiter(text: str) -> str:
    """The sign between cells: the one that stands equally often in most lines; a tab wherever there is one."""
    lines = [line for line in text.split("\n") if line.strip()][:50]
    if any("\t" in line for line in lines):
        return "\t"

    def steadiness(sign: str) -> tuple[int, int]:
        counts = [line.count(sign) for line in lines]
        usual = max(set(counts), key=counts.count, default=0)
        return (sum(count == usual for count in counts) if usual else 0, usual)

    return max(_DELIMITERS[1:], key=steadiness)


def _workbook(content: bytes) -> Sheet:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > _MOST_UNPACKED:
                raise NotAccepted(where=_WHERE, found="a workbook that unpacks to too much", accepted="a smaller one")
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        rows = [
            [_cell(value) for value in row]
            for row in book.worksheets[0].iter_rows(max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS + 1, values_only=True)
        ]
        book.close()
    except NotAccepted:
        raise
    except Exception:  # whatever a broken workbook makes of the library, it is a file that can't be read
        raise NotAccepted(
            where=_WHERE, found="a workbook that cannot be read", accepted="an .xlsx workbook, or the cells pasted"
        ) from None
    return _sheet(rows)


def _cell(value: object) -> str:
    match value:
        case None:
            return ""
        case datetime():
            return value.date().isoformat()
        case date():
            return value.isoformat()
        case bool():
            return "yes" if value else "no"
        case float():
            return number_text(value)
        case _:
            return str(value)


def _sheet(rows: Sequence[Iterable[str]]) -> Sheet:
    cells = [[" ".join(str(cell).split()) for cell in row] for row in rows]
    kept = [(number, row) for number, row in enumerate(cells, start=1) if any(row)]
    if not kept:
        raise NotAccepted(where=_WHERE, found="nothing", accepted="rows of cells, the names of the columns first")
    width = max(max((at for at, cell in enumerate(row, start=1) if cell), default=0) for _, row in kept)
    if len(kept) > MOST_ROWS or width > MOST_COLUMNS:
        found = f"{len(kept):,} rows of {width} cells"
        raise NotAccepted(where=_WHERE, found=found, accepted=f"{MOST_ROWS:,} rows of {MOST_COLUMNS} cells at most")
    long = max(len(cell) for _, row in kept for cell in row)
    if long > MOST_CELL:
        raise NotAccepted(where=_WHERE, found=f"a cell of {long:,} letters", accepted=f"{MOST_CELL} letters at most")
    return Sheet(tuple(tuple((*row, *[""] * width)[:width]) for _, row in kept), tuple(number for number, _ in kept))
