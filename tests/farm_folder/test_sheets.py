"""Sheets of whatever program come out as the cells that were in them."""

import io
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from haulm.errors import NotAccepted
from haulm.farm_folder.sheets import MOST_BYTES, MOST_CELL, MOST_ROWS, Sheet, sheet_from_bytes, sheet_from_text

CELLS = (("Sorte", "Länge"), ("Löwenmäulchen", "12,5"))
cells = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z"), exclude_characters='"'), max_size=12)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("sign", [";", "\t"])
def test_letters_are_right_in_whatever_encoding_they_were_saved(encoding: str, sign: str) -> None:
    text = "".join(f"{sign.join(row)}\r\n" for row in (*CELLS, *CELLS[1:] * 20))
    assert sheet_from_bytes(text.encode(encoding)).rows[:2] == CELLS


def test_a_comma_in_quotes_is_no_end_of_a_cell_and_empty_rows_are_left_out() -> None:
    found = sheet_from_text('name,note\n\n"Zinnia, white","tall, in ""rows"""\n,\n')
    assert found == Sheet((("name", "note"), ("Zinnia, white", 'tall, in "rows"')), (1, 3))


def test_a_workbook_gives_days_and_numbers_as_they_stand_in_its_cells() -> None:
    book = Workbook()
    for row in (
        ["sown", "how many", "tunnel"],
        [datetime(2027, 4, 5, tzinfo=UTC).replace(tzinfo=None), 72.0, True],
        [date(2027, 5, 1), 1.5, None],
    ):
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    assert sheet_from_bytes(file.getvalue()).rows == (
        ("sown", "how many", "tunnel"),
        ("2027-04-05", "72", "yes"),
        ("2027-05-01", "1.5", ""),
    )


@given(st.lists(st.lists(cells, min_size=2, max_size=4), min_size=1, max_size=6))
def test_a_sheet_carried_as_text_is_the_same_sheet(rows: list[list[str]]) -> None:
    text = "\n".join("\t".join(row) for row in rows)
    try:
        sheet = sheet_from_text(f"a\tb\n{text}")
    except NotAccepted:
        return
    assert sheet_from_text(sheet.as_text) == sheet


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"", "nothing"),
        (b" \n,,\n", "nothing"),
        (b"x" * (MOST_BYTES + 1), "bytes"),
        (b"PK\x03\x04 no workbook", "cannot be read"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old kind"),
        (b"a\n" * (MOST_ROWS + 1), "rows of"),
        (b"a" * (MOST_CELL + 1), "a cell of"),
        (b",".join([b"a"] * 41), "rows of 41 cells"),
    ],
)
def test_what_is_no_sheet_or_too_much_of_one_is_refused_in_a_sentence(content: bytes, found: str) -> None:
    with pytest.raises(NotAccepted, match=found):
        sheet_from_bytes(content)
