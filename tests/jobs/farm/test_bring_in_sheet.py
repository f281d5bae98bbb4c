"""A sheet of somebody's own comes in whole, under one entry, or not at all, with each fault in its cell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.errors import NotAccepted
from haulm.farm_folder.sheet_columns import BY_NAME, proposed_columns
from haulm.farm_folder.sheet_values import DateOrder
from haulm.farm_folder.sheets import sheet_from_text
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.bring_in_folder import FolderNotPromised
from haulm.jobs.farm.bring_in_sheet import ReadSheet, SheetAsked, bring_in_sheet, read_sheet
from haulm.jobs.journal.take_back_entry import take_back_entry
from support.desks import MONDAY, done
from support.farms import grower_folder
from support.known_farm import PARTY, known_farm

VARIETIES = "key,name,bunch_stems\nzinnia_white,White zinnia,10\ncosmos,Cosmos,5"
BEDS = "key,name,metres\nlong,Long bed,30"
CUSTOMERS = "key,name\nanna,Studio Anna"


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    site = 'format = 1\nname = "Test farm"\nlatitude = 52.0\ncurrency = "EUR"\n'
    return open_desk(grower_folder(site=site, varieties=VARIETIES, beds=BEDS, customers=CUSTOMERS))


def asked(what: str, text: str, order: DateOrder | None = None) -> SheetAsked:
    sheet = sheet_from_text(text)
    return SheetAsked(BY_NAME[what], sheet, proposed_columns(BY_NAME[what], sheet.rows[0]), order=order)


def read(desk: Desk, what: str, text: str, order: DateOrder | None = None) -> ReadSheet:
    return read_sheet(desk.store.farm(), asked(what, text, order), MONDAY)


def brought_in(desk: Desk, what: str, text: str) -> int:
    return done(desk, lambda work: bring_in_sheet(desk, work, asked(what, text), MONDAY))


def test_kinds_come_with_money_and_keys_of_the_library(desk: Desk) -> None:
    text = "Variety\tColor\tBunch size\tPrice per bunch\nSnapdragon\twhite\t10\t6,50\nMy own thing\t\t\t\n"
    assert brought_in(desk, "kinds", text) == 2
    new = {row.name: row for row in desk.store.farm().varieties[2:]}
    assert (new["Snapdragon"].price_minor, new["Snapdragon"].bunch_stems) == (650, 10)
    assert new["Snapdragon"].key.startswith("snapdragon")


def test_lengths_come_in_whatever_unit_they_were_written(desk: Desk) -> None:
    text = 'Bed,Length,Width,Where\nA,40 ft,48 in,tunnel\nB,"12,5 m",1.2,\nC,9,90 cm,outside\n'
    brought_in(desk, "beds", text)
    found = [(bed.name, bed.metres, bed.width_cm, bed.kind) for bed in desk.store.farm().beds[1:]]
    assert found == [
        ("A", 12.19, 121.92, "tunnel"),
        ("B", 12.5, 120.0, "outdoor"),
        ("C", 9.0, 90.0, "outdoor"),
    ]


def test_sowings_name_kinds_and_beds_and_count_in_trays(desk: Desk) -> None:
    text = (
        "Crop;Sow date;Qty;Bed;Method\nWhite zinnia;5.4.27;3 trays;long bed;heated\nCosmos;20 June;72 cells;;direct\n"
    )
    brought_in(desk, "sowings", text)
    first, second = desk.store.farm().batches
    assert (first.variety, first.sow_date, first.sown, first.trays) == ("zinnia_white", date(2027, 4, 5), 300, 3.0)
    assert (first.bed, first.method) == ("long", "heated")
    assert (second.variety, second.sow_date, second.sown, second.method) == ("cosmos", date(2027, 6, 20), 72, "direct")


def test_rows_of_one_florist_and_day_are_one_standing_order_and_bunches_are_stems(desk: Desk) -> None:
    text = (
        "Florist,Flower,Stems,Day,Start,End\n"
        "Studio Anna,White zinnia,3 bunches,Tue,1 July 2027,30 Sep 2027\n"
        "studio anna,Cosmos,20,Tuesday,1 July 2027,30 Sep 2027\n"
    )
    version = desk.store.farm().version
    brought_in(desk, "standing-orders", text)
    farm = desk.store.farm()
    (order,) = farm.standing_orders
    assert (order.customer, order.weekday, str(order.first_week), str(order.last_week)) == (
        "anna",
        "tue",
        "2027-W26",
        "2027-W39",
    )
    assert [(str(line.product), line.stems) for line in farm.standing_lines] == [("zinnia_white", 30), ("cosmos", 20)]
    assert farm.version == version + 1
    assert [entry.kind for entry in desk.store.entries()][-1] == "sheet-brought-in"


@pytest.mark.parametrize(
    ("what", "text", "cell", "found", "accepted"),
    [
        ("sowings", "Crop\tQty\nZinia yellow\t5\n", (2, 0), "Zinia yellow", "such as White zinnia"),
        ("sowings", "Crop\tQty\nCosmos\tmany\n", (2, 1), "many", "3 trays"),
        ("sowings", "Crop\tQty\nCosmos\t\n", (2, 1), "nothing", "72 cells"),
        ("sowings", "Crop\tQty\tSown\nCosmos\t5\t31 Feb 2027\n", (2, 2), "31 Feb", "5 April 2027"),
        ("sowings", "Crop\tQty\nCosmos\t5 m\n", (2, 1), "5 m", "72 cells"),
        ("kinds", "Name\tPrice\nAmmi\t1,200\n", (2, 1), "1,200", "could be either"),
        ("kinds", "Name\tPrice\nAmmi\t4.555\n", (2, 1), "4.555", "either"),
        ("kinds", "Name\ncosmos\n", (2, 0), "cosmos", "stands once"),
        ("kinds", "Name\nAmmi\n\nAMMI\n", (4, 0), "AMMI", "stands once"),
        ("customers", "Name\tEmail\nBram\tbram at home\n", (2, 1), "bram at home", "anna@example.org"),
        ("beds", "Bed\tLength\nA\t4 rods\n", (2, 1), "4 rods", "12.5"),
        (
            "standing-orders",
            "Florist\tFlower\tStems\tDay\tFrom\tTo\nStudio Anna\tCosmos\t5\tTue\t1 Sep 2027\t1 Jul 2027\n",
            (2, None),
            "2027-W26",
            "first_week",
        ),
    ],
)
def test_each_fault_stands_in_its_cell_and_nothing_is_brought_in(
    desk: Desk, what: str, text: str, cell: tuple[int, int | None], found: str, accepted: str
) -> None:
    version = desk.store.farm().version
    (fault,) = read(desk, what, text).faults
    row, column = cell
    assert fault.row == row
    assert column is None or fault.column == column
    assert found in fault.found
    assert accepted in fault.accepted or column is None
    with pytest.raises(NotAccepted):
        brought_in(desk, what, text)
    assert desk.store.farm().version == version


def test_days_of_two_numbers_are_asked_for_once_and_then_read(desk: Desk) -> None:
    text = "Crop\tQty\tSown\nCosmos\t5\t5/4/27\nCosmos\t5\t6/4/27\n"
    assert read(desk, "sowings", text).asks_order
    first = read(desk, "sowings", text, DateOrder.MONTH).rows[0]
    assert first.sow_date == date(2027, 5, 4)  # type: ignore[union-attr]  # a sowing's row
    told = "Crop\tQty\tSown\nCosmos\t5\t5/4/27\nCosmos\t5\t26/4/27\n"
    assert not read(desk, "sowings", told).asks_order


def test_a_field_that_every_row_needs_is_asked_for_and_a_slip_of_one_letter_is_none(desk: Desk) -> None:
    assert read(desk, "sowings", "Crop\nCosmos\n").missing == ("places",)
    assert read(desk, "sowings", "Crop\tQty\nWhite zinia\t5\n").is_whole


def test_all_or_nothing_where_one_row_of_many_is_wrong(desk: Desk) -> None:
    rows = "".join(f"Bed {number}\t10\n" for number in range(50))
    found = read(desk, "beds", f"Bed\tLength\n{rows}Bad\tlong\n")
    assert len(found.faults) == 1 and found.rows == () and found.count == 51
    assert brought_in(desk, "beds", f"Bed\tLength\n{rows}") == 50
    assert len(desk.store.farm().beds) == 51


def test_a_sheet_is_taken_back_whole(desk: Desk) -> None:
    before = desk.store.farm().beds
    brought_in(desk, "beds", "Bed\tLength\nA\t10\nB\t12\n")
    seq = desk.store.entries()[-1].seq
    done(desk, lambda work: take_back_entry(desk, work, seq))
    assert desk.store.farm().beds == before


def test_a_row_that_adds_up_the_others_is_left_out_and_told(desk: Desk) -> None:
    text = "Bed,Length\nA,12\nB,9\nTotal:,21\n,\nSum,21\n"

    assert [row.name for row in read(desk, "beds", text).rows] == ["A", "B"]  # type: ignore[union-attr]
    assert asked("beds", text).left_out == ((4, "Total:"), (6, "Sum"))
    assert brought_in(desk, "beds", text) == 2


def test_what_cells_are_taken_to_mean_is_told_where_it_is_not_plain(desk: Desk) -> None:
    found = read(desk, "sowings", "Kind,Date,Qty,Bed\ncosmos,5.4.2027,3 trays,Long bed\nzinnia white,2027-04-06,72,\n")

    assert found.understood == {
        (2, 1): "Mon 5 Apr 2027",
        (2, 2): "300 places",
        (3, 0): "White zinnia",
        (3, 1): "Tue 6 Apr 2027",
        (3, 2): "72 places",
    }
    assert found.near == ()


def test_a_misspelt_name_is_marked_and_comes_in_only_when_somebody_says_so(desk: Desk) -> None:
    sheet = asked("sowings", "Kind,Date,Qty\nWhite zinia,2027-04-05,72\n")
    found = read_sheet(desk.store.farm(), sheet, MONDAY)
    assert found.near == ((2, 0),) and found.understood[2, 0] == "White zinnia"

    with pytest.raises(NotAccepted):
        done(desk, lambda work: bring_in_sheet(desk, work, sheet, MONDAY))
    assert done(desk, lambda work: bring_in_sheet(desk, work, replace(sheet, is_confirmed=True), MONDAY)) == 1


def test_columns_that_were_guessed_come_in_only_when_somebody_says_so(desk: Desk) -> None:
    sheet = replace(asked("beds", "Bed,Length\nA,12\n"), is_guessed=True)

    with pytest.raises(NotAccepted):
        done(desk, lambda work: bring_in_sheet(desk, work, sheet, MONDAY))
    assert done(desk, lambda work: bring_in_sheet(desk, work, replace(sheet, is_confirmed=True), MONDAY)) == 1


def test_standing_orders_are_judged_as_those_of_a_form_are(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    """60 stems in week 24: 25 are Anna's, 20 are for the party on Friday, which a standing order comes before."""
    desk = open_desk(known_farm(**PARTY))
    text = "Customer,Kind,Stems,Weekday,From,Until\nBram's corner,Bunny tail,{},Tuesday,2027-06-14,2027-06-20\n"
    version = desk.store.farm().version

    with pytest.raises(FolderNotPromised) as refusal:
        brought_in(desk, "standing-orders", text.format(40))
    assert "Bram's corner" in refusal.value.sentence and desk.store.farm().version == version
    assert brought_in(desk, "standing-orders", text.format(10)) == 1
    assert desk.store.farm().version == version + 1
