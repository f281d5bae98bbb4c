"""The page of past years: entered, asked about, changed, taken back; nothing typed is lost, and names are shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import pytest

from support.door import Door
from support.farms import grower_folder

VARIETIES = "key,name\nzinnia_white,White zinnia\nzinnia_apricot,Apricot zinnia\npeony,Pink peony"
YEAR = {"grown": "variety:zinnia_white", "year": "2026", "stems": "1,500", "plants": "100"}


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with two zinnias and a peony, on 14 June 2027."""
    return open_door(grower_folder(varieties=VARIETIES))


def sent(door: Door, path: str = "/past-years", **form: str) -> tuple[int, str]:
    answer = door.ask("POST", path, data={**YEAR, **form})
    return answer.status_code, unescape(answer.text)


def text_of(door: Door, path: str = "/past-years") -> str:
    return unescape(door.ask("GET", path).text)


def key_of(door: Door) -> str:
    key: str = door.get("/v1/past-years")["rows"][0]["key"]
    return key


def test_a_year_is_entered_by_name_and_shown_by_name(door: Door) -> None:
    assert sent(door)[0] == 303

    page = text_of(door)
    shown = page[page.index("<h2>2026") :]
    assert "White zinnia" in shown and "1,500 stems of 100 plants, 15.0 a plant" in shown
    assert "Counts for stems." in shown
    assert "zinnia_white" not in re.sub(r'(value|href|action)="[^"]*"', "", page)


def test_a_whole_kind_may_be_entered(door: Door) -> None:
    sent(door, grown="kind:zinnia")

    assert "Zinnia, all varieties</h3>" in text_of(door)


@pytest.mark.parametrize(
    ("form", "field", "sentence"),
    [
        ({"grown": ""}, "grown", "Nothing is written here; accepted is a variety, or a whole kind in its place."),
        ({"grown": "variety:tulip"}, "grown", "Found 'tulip'; accepted is a key of this farm's varieties."),
        ({"year": "2029"}, "year", "Found 2029; accepted is a year that has come, 2027 or before."),
        ({"year": "last"}, "year", "Found 'last'; accepted is a whole number from 1900 to 2999."),
        (
            {"sow_date": "2026-05-01", "first_cut": "2026-04-02"},
            "first_cut",
            "Found Thu 2 Apr 2026; accepted is a day after its sowing, Fri 1 May 2026.",
        ),
    ],
)
def test_what_is_refused_is_said_beside_its_field_with_all_that_was_typed(
    door: Door, form: dict[str, str], field: str, sentence: str
) -> None:
    status, page = sent(door, **form)

    assert status == 422
    assert re.search(rf'id="f-{field}"[^>]*aria-invalid="true"', page)
    assert f'id="wrong-{field}" role="alert">{sentence}</p>' in page
    assert 'value="1,500"' in page and 'value="100"' in page
    assert door.get("/v1/past-years")["rows"] == []


def test_ten_times_the_usual_is_asked_about_and_a_tap_says_it_is_so(door: Door) -> None:
    status, page = sent(door, stems="30000")
    assert status == 409 and "30,000 stems for sale of 100 plants are about 372 a plant before sorting" in page
    assert '<option value="variety:zinnia_white" selected>' in page

    assert sent(door, stems="30000", really="yes")[0] == 303


def test_a_year_is_changed_and_what_somebody_else_changed_meanwhile_is_not_written_over(door: Door) -> None:
    sent(door)
    path = f"/past-years/{key_of(door)}"
    version = re.search(r'name="version" value="(\d+)"', text_of(door, path))
    assert version is not None

    assert sent(door, path, stems="1600", version=version[1])[0] == 303
    status, page = sent(door, path, stems="1700", version=version[1])

    assert status == 412 and "Somebody changed this year meanwhile." in page and 'value="1700"' in page
    assert door.get("/v1/past-years")["rows"][0]["stems"] == 1600


def test_a_year_is_taken_back_and_put_back_as_it_was(door: Door) -> None:
    sent(door, note="a wet one")
    row = door.get("/v1/past-years")["rows"][0]
    assert door.ask("POST", f"/past-years/{row['key']}/take-back", data={}).status_code == 303

    page = text_of(door)
    assert "No year is entered yet." in page and "White zinnia, 2026" in page
    assert door.ask("POST", f"/past-years/{row['key']}/put-back", data={}).status_code == 303
    (again,) = door.get("/v1/past-years")["rows"]
    assert {**again, "version": 0} == {**row, "version": 0}
    assert "Taken back</h2>" not in text_of(door)


def test_it_is_said_why_a_first_cut_does_not_count(door: Door) -> None:
    sent(door, first_cut="2026-07-20")

    assert "Its first cut does not count: the day it was sown is not known." in text_of(door)


def test_how_it_was_grown_is_chosen_shown_in_words_and_taken_back(door: Door) -> None:
    sent(door, method="heated", tunnel="yes", sow_date="2026-04-10", first_cut="2026-07-01")
    page, path = text_of(door), f"/past-years/{key_of(door)}"
    assert "Sown on a heated bench, in a tunnel.</p>" in page
    assert '<option value="">in the usual way of the kind</option>' in page
    own = text_of(door, path)
    assert '<option value="heated" selected>sown on a heated bench</option>' in own
    assert re.search(r'name="tunnel" value="yes" checked', own)

    version = re.search(r'name="version" value="(\d+)"', own)
    assert version is not None
    sent(door, path, method="", version=version[1])
    (row,) = door.get("/v1/past-years")["rows"]
    assert (row["method"], row["tunnel"]) == (None, False)
    assert "in a tunnel." not in text_of(door)


def test_a_way_of_growing_that_nobody_knows_is_refused_beside_its_field(door: Door) -> None:
    status, page = sent(door, method="hydroponics", tunnel="yes")

    assert status == 422 and 'id="wrong-method" role="alert">Found \'hydroponics\'; accepted is one of' in page
    assert re.search(r'name="tunnel" value="yes" checked', page)
