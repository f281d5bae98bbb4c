"""Days, numbers and units are read as people write them, and never guessed where they could be two things."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm_folder.sheet_values import (
    DateOrder,
    Quantity,
    asks_for_order,
    date_order,
    day_of,
    is_two_numbers,
    quantity_of,
)

APRIL = date(2027, 4, 5)
SPELT = (
    *(
        "2027-04-05",
        "2027/4/5",
        "2027-04-05 00:00:00",
        "5.4.2027",
        "5.4.27",
        "05.04.",
        "5 April 2027",
        "5 Apr",
        "5-Apr-27",
    ),
    *("April 5, 2027", "Apr 5", "Mon 5 Apr 2027", "5th April 2027", "Monday, April 5th 2027"),
)


@pytest.mark.parametrize("cell", SPELT)
def test_a_day_that_can_be_one_only_needs_nobody_to_say_which(cell: str) -> None:
    assert day_of(cell, order=None, year=2027) == APRIL


def test_a_day_of_two_numbers_is_asked_for_and_read_as_was_said() -> None:
    assert day_of("5/4/27", order=None, year=2027) is None
    assert day_of("5/4/27", order=DateOrder.DAY, year=2027) == APRIL
    assert day_of("4/5/27", order=DateOrder.MONTH, year=2027) == APRIL
    assert day_of("13/4", order=DateOrder.MONTH, year=2027) == date(2027, 4, 13), "there is no month 13"


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_every_day_comes_back_in_either_order(day: date) -> None:
    assert day_of(f"{day.day}/{day.month}/{day.year}", order=DateOrder.DAY, year=1) == day
    assert day_of(f"{day.month}/{day.day}/{day:%y}", order=DateOrder.MONTH, year=1) == day
    assert day_of(f"{day:%d %B %Y}", order=None, year=1) == day


def test_one_day_past_the_twelfth_tells_the_order_of_a_column_and_two_that_contradict_tell_nothing() -> None:
    assert date_order(["5/4", "17/4"]) is DateOrder.DAY
    assert date_order(["5/4", "4/17/27"]) is DateOrder.MONTH
    assert date_order(["17/4", "4/17"]) is None
    assert date_order(["5/4", "6/4"]) is None and asks_for_order(["5/4", "6/4"])
    assert not asks_for_order(["5/5", "2027-04-05", "5 April"])


@pytest.mark.parametrize("cell", ["31/2/2027", "30.2.27", "2027-13-01", "5 Foo 2027", "soon", "0/1/27", "5/4/27/8"])
def test_what_is_no_day_is_none(cell: str) -> None:
    assert day_of(cell, order=DateOrder.DAY, year=2027) is None


@pytest.mark.parametrize(
    ("cell", "number", "unit"),
    [
        ("72", 72, ""),
        ("3 trays", 3, "trays"),
        ("12,5 m", 12.5, "m"),
        ("12.5m", 12.5, "m"),
        ("1.200,50", 1200.5, ""),
        ("1,200.50", 1200.5, ""),
        ("1 200", 1200, ""),
        ("1,200", 1200, ""),
        ("EUR 4.50", 4.5, "eur"),
        ("4,50 \u20ac", 4.5, "\u20ac"),
        ("40 ft.", 40, "ft"),
        (".5 m", 0.5, "m"),
        ("-3", -3, ""),
    ],
)
def test_a_number_keeps_its_unit_whatever_its_decimal_mark(cell: str, number: float, unit: str) -> None:
    assert quantity_of(cell) == Quantity(number, unit)


@pytest.mark.parametrize("cell", ["", "many", "m", "1.2.3,4,5", "3 to 4 trays"])
def test_what_is_no_number_is_none(cell: str) -> None:
    assert quantity_of(cell) is None


def test_a_group_of_three_could_be_a_thousand_or_a_fraction() -> None:
    assert is_two_numbers("1,200") and is_two_numbers("1.200 m")
    assert not is_two_numbers("1,20") and not is_two_numbers("1.200,5") and not is_two_numbers("1200")
