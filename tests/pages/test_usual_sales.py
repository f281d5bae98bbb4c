"""The page of usual sales: entered, changed, taken back; apart from promises; names, days and money in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import pytest

from support.door import Door
from support.farms import grower_folder
from support.known_farm import growing_farm
from support.tapping import form_of, words_of

VARIETIES = "key,name,price_minor,bunch_stems\nzinnia_white,White zinnia,600,10\npeony,Pink peony,,"
CUSTOMERS = "key,name\nanna,Studio Anna"
OVER = "key,customer,weekday,first_week,last_week\nold,anna,tue,2026-W26,2026-W35"
LINE = "key,order,stems,product,bunch_price_minor,bunch_stems\nold-1,old,40,zinnia_white,550,10"
SALE = {
    "source": "stall",
    "grown": "zinnia_white",
    "stems": "1,200",
    "first_week": "2027-07-07",
    "last_week": "2027-08-04",
    "price": "0.60",
}


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with a zinnia, a peony and a standing order of last year, on 14 June 2027."""
    return open_door(grower_folder(varieties=VARIETIES, customers=CUSTOMERS, standing_orders=OVER, standing_lines=LINE))


def sent(door: Door, path: str = "/usual-sales", **form: str) -> tuple[int, str]:
    answer = door.ask("POST", path, data={**SALE, **form})
    return answer.status_code, unescape(answer.text)


def text_of(door: Door, path: str = "/usual-sales") -> str:
    return unescape(door.ask("GET", path).text)


def test_a_sale_is_entered_and_shown_in_words(door: Door) -> None:
    assert sent(door)[0] == 303

    (row,) = door.get("/v1/usual-sales")["rows"]
    assert (row["stems"], row["first_week"], row["last_week"], row["stem_price_minor"]) == (
        1200,
        "2027-W27",
        "2027-W31",
        60,
    )
    page = text_of(door)
    assert "White zinnia</h3>" in page and "The stall</p>" in page
    assert "1,200 stems a week, week 27 (5 Jul) to week 31 (2 Aug)" in page
    assert "zinnia_white" not in re.sub(r'(value|href|action)="[^"]*"', "", page)


def test_any_of_a_role_or_colour_may_be_hoped_for(door: Door) -> None:
    assert sent(door, grown="", role="focal", colours="white, cream")[0] == 303

    assert door.get("/v1/usual-sales")["rows"][0]["choice"] == "role=focal colour=white|cream"
    assert "White or cream focal</h3>" in text_of(door)


@pytest.mark.parametrize(
    ("form", "field", "sentence"),
    [
        ({"grown": ""}, "grown", "Found neither product nor choice; accepted is a product or a choice."),
        ({"price": "dear"}, "price", "Found 'dear'; accepted is a whole number from 0 to 1000000000."),
        ({"first_week": ""}, "first_week", "Nothing is written here; accepted is an ISO week such as 2027-W20."),
        (
            {"last_week": "2027-06-01"},
            "last_week",
            "Found 2027-W22; accepted is a week not before first_week 2027-W27.",
        ),
    ],
)
def test_what_is_refused_is_said_beside_its_field_with_all_that_was_typed(
    door: Door, form: dict[str, str], field: str, sentence: str
) -> None:
    status, page = sent(door, **form)

    assert status == 422
    assert sentence in page and f'id="wrong-{field}"' in page and 'value="1,200"' in page
    assert door.get("/v1/usual-sales")["rows"] == []


def test_it_is_changed_taken_back_and_put_back(door: Door) -> None:
    sent(door)
    path = f"/usual-sales/{door.get('/v1/usual-sales')['rows'][0]['key']}"
    assert 'value="0.60"' in text_of(door, path) and 'value="2027-07-05"' in text_of(door, path)

    assert sent(door, path, stems="30")[0] == 303
    assert door.get("/v1/usual-sales")["rows"][0]["stems"] == 30
    assert door.ask("POST", f"{path}/take-back", data={}).status_code == 303
    assert door.get("/v1/usual-sales")["rows"] == []
    assert door.ask("POST", f"{path}/put-back", data={}).status_code == 303
    assert door.get("/v1/usual-sales")["rows"][0]["stems"] == 30


def test_what_was_ordered_last_year_is_suggested_and_entered_by_a_tap_alone(door: Door) -> None:
    page = text_of(door)
    assert "Studio Anna, last year's florist: 40 stems of White zinnia a week" in page
    assert door.get("/v1/usual-sales")["rows"] == []

    assert door.ask("POST", "/usual-sales/as-last-year", data={"line": "old-1"}).status_code == 303

    (row,) = door.get("/v1/usual-sales")["rows"]
    assert {name: row[name] for name in ("source", "customer", "stems", "weekday", "stem_price_minor")} == {
        "source": "florist",
        "customer": "anna",
        "stems": 40,
        "weekday": "tue",
        "stem_price_minor": 55,
    }
    assert (row["first_week"], row["last_week"]) == ("2027-W25", "2027-W34")
    assert "As last year?" not in text_of(door)
    assert door.ask("POST", "/usual-sales/as-last-year", data={"line": "old-1"}).status_code == 404


def test_sowings_that_would_pay_are_told_apart_from_gaps(door: Door) -> None:
    sent(door)

    assert "This is hope, not a gap" in text_of(door, "/hoped-sowings")


def test_the_day_the_stems_would_leave_is_picked_and_kept(door: Door) -> None:
    assert sent(door, weekday="sat")[0] == 303

    (row,) = door.get("/v1/usual-sales")["rows"]
    assert row["weekday"] == "sat"
    assert '<option value="sat" selected>Saturday</option>' in text_of(door, f"/usual-sales/{row['key']}")


@pytest.fixture
def hoping(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with weather and a bed, and a florist of last year who may take a lot of its grass again."""
    door = open_door(growing_farm())
    sale = {"source": "florist", "product": "lagurus", "stems": 80, "first_week": "2027-W37", "last_week": "2027-W39"}
    door.post("/v1/usual-sales", {**sale, "stem_price_minor": 90})
    return door


def test_a_sowing_that_would_pay_is_put_into_the_plan_by_one_tap_as_it_was_shown(hoping: Door) -> None:
    (advised,) = hoping.get("/v1/hoped-for/sowings")["sowings"]
    page, action = hoping.ask("GET", "/hoped-sowings").text, "/hoped-sowings/lagurus"
    form, before = form_of(page, action), len(hoping.get("/v1/batches")["rows"])
    assert "Put this sowing into the plan" in page

    for _ in range(2):  # a second tap adds nothing
        assert hoping.ask("POST", action, data=form).status_code == 303
    batches = hoping.get("/v1/batches")["rows"]
    assert len(batches) == before + 1
    told = ("variety", "sow_date", "method", "sown", "bed")
    assert {name: batches[-1][name] for name in told} == {name: advised[name] for name in told}


def test_a_sowing_that_is_another_by_now_is_not_put_into_the_plan(hoping: Door) -> None:
    action = "/hoped-sowings/lagurus"
    form, before = form_of(hoping.ask("GET", "/hoped-sowings").text, action), hoping.get("/v1/batches")["rows"]
    (sale,) = hoping.get("/v1/usual-sales")["rows"]
    hoping.patch(f"/v1/usual-sales/{sale['key']}", {"stem_price_minor": 120})

    answer = hoping.ask("POST", action, data=form)
    assert answer.status_code == 412 and "May bring" in words_of(answer)
    assert hoping.ask("POST", action, data={"once": "blind"}).status_code == 428
    assert hoping.ask("DELETE", f"/v1/usual-sales/{sale['key']}").status_code == 200
    assert hoping.ask("POST", action, data={**form, "once": "later"}).status_code == 412
    assert hoping.get("/v1/batches")["rows"] == before
