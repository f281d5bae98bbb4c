"""The page that takes a spreadsheet: looked at first, faults in place, brought in by one tap, no file kept."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from html import unescape

import pytest
from openpyxl import Workbook

from support.door import Door
from support.farms import grower_folder
from support.tapping import words_of

KINDS = "Variety\tColor\tNotes\nWhite zinnia\twhite\tmine\nCosmos\tpink\t\n"


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    return open_door(grower_folder(varieties="key,name\nammi,Ammi"))


def fields(text: str, action: str) -> dict[str, str]:
    """What the form that goes to an address holds, its hidden text too."""
    form = next(part for part in text.split("<form")[1:] if f'action="{action}"' in part.split(">")[0])
    form = form.split("</form>")[0]
    found = {
        name: unescape(value)
        for name, value in re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    }
    (sheet,) = re.findall(r'<textarea name="sheet"[^>]*>\n(.*?)</textarea>', form, re.DOTALL)
    return {**found, "sheet": unescape(sheet)}


def test_pasted_cells_are_looked_at_then_brought_in_by_one_tap(door: Door) -> None:
    looked = door.ask("POST", "/paste", data={"what": "kinds", "sheet": KINDS}, files={"none": b""})
    assert "Every row can be read. Nothing is written yet." in words_of(looked)
    assert len(door.get("/v1/varieties")["rows"]) == 1
    form = fields(looked.text, "/paste/bring-in")

    first, second = (door.ask("POST", "/paste/bring-in", data=form) for _ in range(2))

    assert first.status_code == second.status_code == 303
    assert [row["name"] for row in door.get("/v1/varieties")["rows"]] == ["Ammi", "White zinnia", "Cosmos"]


def test_a_workbook_is_read_and_travels_as_text(door: Door) -> None:
    book, file = Workbook(), io.BytesIO()
    for row in (["Bed", "Length"], ["Long bed", 12.5]):
        book.active.append(row)
    book.save(file)
    looked = door.ask("POST", "/paste", data={"what": "beds"}, files={"file": ("beds.xlsx", file.getvalue())})
    form = fields(looked.text, "/paste/bring-in")
    assert form["sheet"] == "Bed\tLength\nLong bed\t12.5"
    door.ask("POST", "/paste/bring-in", data=form)
    assert [(row["name"], row["metres"]) for row in door.get("/v1/beds")["rows"]] == [("Long bed", 12.5)]


def test_a_column_that_was_proposed_wrongly_is_chosen_anew(door: Door) -> None:
    form = {
        "what": "kinds",
        "sheet": KINDS,
        "column-0": "colour",
        "column-1": "name",
        "column-2": "name",
        "header": "yes",
    }
    found = fields(door.ask("POST", "/paste", data=form).text, "/paste/bring-in")
    assert [found[f"column-{at}"] for at in range(3)] == ["colour", "name", ""]


def test_faults_stand_in_their_cells_and_there_is_no_button(door: Door) -> None:
    sheet = "Crop\tQty\tSown\nAmmi\tmany\t5/4/27\nAmmi\t72\t26/4/27\n"
    looked = door.ask("POST", "/paste", data={"what": "sowings", "sheet": sheet})
    said = words_of(looked)
    assert "1 cell cannot be read as it stands" in said
    assert "Found 'many'; accepted is places or trays, such as 72, 72 cells or 3 trays." in said
    assert "/paste/bring-in" not in looked.text
    assert door.get("/v1/batches")["rows"] == []


def test_days_that_could_be_two_are_asked_for(door: Door) -> None:
    form = {"what": "sowings", "sheet": "Crop\tQty\tSown\nAmmi\t72\t5/4/27\n"}
    assert "which number is the day" in words_of(door.ask("POST", "/paste", data=form))
    assert "Every row can be read" in words_of(door.ask("POST", "/paste", data={**form, "order": "month"}))


@pytest.mark.parametrize(
    ("form", "found"),
    [
        ({"what": "kinds", "sheet": " "}, "found nothing"),
        ({"what": "sheep", "sheet": KINDS}, "one of the list"),
        ({}, "one of the list"),
        ({"what": "kinds", "sheet": "a\t" * 60}, "cells at most"),
    ],
)
def test_what_is_no_sheet_gets_a_sentence_with_what_was_pasted_still_there(
    door: Door, form: dict[str, str], found: str
) -> None:
    answer = door.ask("POST", "/paste", data=form)
    assert found in words_of(answer)
    assert answer.status_code < 500


def test_a_sheet_that_names_no_columns_is_guessed_and_asks_for_a_look(door: Door) -> None:
    text = "ammi\t2027-04-05\t72\nAmmi\t2027-04-12\t3 trays\nTotal\t\t144\n"
    looked = door.ask("POST", "/paste", data={"what": "sowings", "sheet": text}, files={"none": b""})
    said = words_of(looked)
    assert "Nothing names the columns." in said and "Mon 5 Apr 2027" in said
    assert "Row 3 says Total: it adds up others, and is left out." in said
    form = fields(looked.text, "/paste/bring-in")
    assert [form[f"column-{at}"] for at in range(3)] == ["kind", "sow_date", "places"]
    assert (form["guessed"], form["header"]) == ("yes", "no")

    assert door.ask("POST", "/paste/bring-in", data=form).status_code == 422
    assert door.get("/v1/batches")["rows"] == []
    again = fields(door.ask("POST", "/paste/bring-in", data=form).text, "/paste/bring-in")
    assert door.ask("POST", "/paste/bring-in", data={**again, "confirmed": "yes"}).status_code == 303
    assert [row["sown"] for row in door.get("/v1/batches")["rows"]] == [72, 300]
