"""Whatever a column holds goes into its field and comes back as it was; what people type is read as they mean it."""

from __future__ import annotations

from datetime import date

import pytest

from haulm.farm.products import Product
from haulm.farm_folder.columns import FILES
from haulm.pages.rows.choice_words import words_of
from haulm.pages.rows.forms import asked_by, cells_from, cells_of, typed_of
from haulm.pages.rows.list_widgets import AnyOf, Lengths, NameList, Stages
from haulm.pages.rows.names import Names, one_each
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.quantity import in_bunches
from haulm.pages.rows.tables import TABLES
from haulm.pages.rows.widgets import At, Money, Percent, PickWeek, plain_number
from support.demo_farms import demo_farm
from support.farms import farm, site, variety

DEMO = At(Names(demo_farm(), date(2027, 3, 15)))
SMALL = At(Names(farm(varieties=(variety(), variety("ammi", name="White ammi"))), date(2027, 6, 14)))


def sorted_parts(cell: str) -> object:
    """A choice by its parts in any order: its roles are ticked, which keeps none."""
    if "=" not in cell:
        return cell
    return {part.partition("=")[0]: sorted(part.partition("=")[2].split("|")) for part in cell.split(" ")}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.place)
def test_every_row_of_the_demo_goes_through_its_form_unchanged(table: Table) -> None:
    asked = asked_by(table)
    for row in getattr(demo_farm(), table.collection)[:400]:
        cells = cells_of(table, row)
        again = cells_from(asked, typed_of(asked, cells, DEMO), DEMO)
        assert {name: sorted_parts(cell) for name, cell in again.items()} == {
            name: sorted_parts(cells[name]) for name in again
        }
        assert cells_from(asked, typed_of(asked, again, DEMO), DEMO) == again


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.place)
def test_no_row_of_the_demo_is_said_by_its_key_or_by_a_date_of_programs(table: Table) -> None:
    for row in getattr(demo_farm(), table.collection)[:400]:
        listed = table.listed(DEMO.names, row)
        own_words = getattr(row, "note", "")
        said = " ".join((listed.title, *(figure for figure in listed.figures if figure != own_words)))
        assert "2027-" not in said and "_" not in said


def test_every_word_of_a_closed_list_has_words() -> None:
    for spec in FILES:
        table = next((one for one in TABLES if one.collection == spec.collection), None)
        for column in spec.columns if table is not None else ():
            if "enum" in column.kind.schema:
                words = words_of(spec.collection, column.name)
                assert words is not None and set(words) == set(column.kind.schema["enum"]), column.name  # type: ignore[call-overload]


@pytest.mark.parametrize(
    ("typed", "read"),
    [("1,200", "1200"), ("1 200", "1200"), ("12,5", "12.5"), ("1,234.5", "1234.5"), ("-3,5", "-3.5"), ("x", "x")],
)
def test_a_number_is_read_as_people_write_it(typed: str, read: str) -> None:
    assert plain_number(typed) == read


@pytest.mark.parametrize(("typed", "cell"), [("12.50", "1250"), ("12,50", "1250"), ("12", "1200"), ("dear", "dear")])
def test_money_is_read_in_the_farms_currency(typed: str, cell: str) -> None:
    assert Money().cell({"price": typed}, "price", SMALL) == cell


def test_money_of_a_currency_without_decimals_has_none() -> None:
    yen = At(Names(farm(site=site(currency="JPY")), date(2027, 6, 14)))

    assert Money().cell({"price": "350"}, "price", yen) == "350"
    assert Money().typed("350", "price", yen) == {"price": "350"}


def test_a_share_is_typed_in_percent_exactly() -> None:
    for cell in ("0.65", "0.7", "0.123456789", "0.005"):
        assert Percent().cell(Percent().typed(cell, "x", SMALL), "x", SMALL) == cell
    assert Percent().cell({"x": "80 %"}, "x", SMALL) == "0.8"


def test_weeks_are_said_with_their_monday_and_one_that_is_far_is_in_the_list() -> None:
    options = dict(PickWeek().options(SMALL, "2031-W02"))

    assert options["2027-W32"] == "week 32, Mon 9 Aug"
    assert options["2031-W02"] == "week 2, Mon 6 Jan 2031"


def test_names_are_read_whatever_their_capitals_and_one_that_nobody_knows_stays() -> None:
    read = NameList(has_dried=True).cell({"x": "white AMMI, Lagurus\nWhite ammi, dried\nRose"}, "x", SMALL)

    assert read == "ammi|lagurus|ammi:dried|Rose"


def test_of_two_names_alike_the_second_carries_a_number() -> None:
    assert one_each((("a", "Zinnia"), ("b", "Zinnia"))) == {"a": "Zinnia", "b": "Zinnia (2)"}


@pytest.mark.parametrize(
    "typed", ["30 cm 30 %, 40 cm 70 %", "30: 30, 40: 70", "30 cm: 30 %\n40 cm: 70 %", "30=30;40=70"]
)
def test_lengths_are_read_however_they_are_put(typed: str) -> None:
    assert Lengths().cell({"x": typed}, "x", SMALL) == "30:0.3|40:0.7"


def test_stages_are_read_a_line_each() -> None:
    assert (
        Stages().cell({"x": "young: cream: days 0 to 4\nripe, tan, 5-12"}, "x", SMALL)
        == "young:cream:0-4|ripe:tan:5-12"
    )


@pytest.mark.parametrize(
    "cell",
    ["role=filler|accent colour=white", "form=fresh", "form=dried", "form=fresh|dried", "kind=ammi without=lagurus"],
)
def test_a_choice_goes_through_its_ticks_unchanged(cell: str) -> None:
    assert AnyOf().cell(AnyOf().typed(cell, "x", SMALL), "x", SMALL) == cell


def test_stems_are_said_in_bunches_with_what_is_over() -> None:
    ten = At(Names(farm(varieties=(variety(bunch_stems=10),)), date(2027, 6, 14)))

    assert in_bunches(ten, 43, Product("lagurus"), "none") == "43 stems: 4 bunches of 10 and 3 stems"
    assert in_bunches(ten, 7, Product("lagurus"), "none") == "7 stems"
