"""Columns of a sheet that names none: what stands in them says what they are, and what says nothing stays open."""

from __future__ import annotations

from datetime import date

import pytest

from haulm.farm_folder.sheet_columns import BY_NAME
from haulm.farm_folder.sheets import sheet_from_text
from haulm.jobs.farm.guess_columns import guessed_columns
from support.planned_farms import growing_farm

TODAY = date(2027, 3, 1)
KIND = growing_farm().varieties[0].name


@pytest.mark.parametrize(
    ("what", "text", "columns"),
    [
        ("sowings", f"2027-04-05\t72\t{KIND}\n12.4.2027\t3 trays\t{KIND.upper()}\n", ("sow_date", "places", "kind")),
        ("sowings", f"{KIND}\tsoon\t40\n", ("kind", "", "places")),
        ("beds", "Top\t12.5\toutside\nLow\t9 m\ttunnel\n", ("name", "metres", "kind")),
        ("customers", "anna@example.org\tAnna\n", ("email", "name")),
    ],
)
def test_columns_are_known_by_their_cells(what: str, text: str, columns: tuple[str, ...]) -> None:
    found = guessed_columns(growing_farm(), BY_NAME[what], sheet_from_text(text).rows, TODAY)

    assert found == columns


def test_a_column_that_mostly_reads_otherwise_is_left_open() -> None:
    rows = sheet_from_text("1\t5\nsome words\t6\nwords\t7\n").rows

    assert guessed_columns(growing_farm(), BY_NAME["sowings"], rows, TODAY)[0] == ""
