"""What a farm may not say of itself."""

from dataclasses import replace
from typing import Any

import pytest

from haulm.farm.site import ClassLevels, FrostDates, MonthDay, MonthlyTemperatures, PriceRules
from haulm.farm.site_checks import is_timezone, site_faults
from haulm.farm.words import USUAL_CLASS_ORDER, Weekday
from support.farms import site


def frost(*days: str) -> FrostDates:
    """Frost dates from six month-days, last spring frost first."""
    return FrostDates(*map(MonthDay.parse, days))


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"latitude": 90.5}, "latitude"),
        ({"latitude": -90.5}, "latitude"),
        ({"latitude": float("nan")}, "latitude"),
        ({"name": ""}, "name"),
        ({"timezone": "Europe/Nowhere"}, "timezone"),
        ({"currency": "eur"}, "currency"),
        ({"cut_days": ()}, "cut_days"),
        ({"cut_days": (Weekday.MON, Weekday.MON)}, "cut_days"),
        ({"condition_days": 15}, "condition_days"),
        ({"wedding_days_ahead": -1}, "wedding_days_ahead"),
        ({"default_confidence": 1.0}, "default_confidence"),
        ({"levels": ClassLevels(stall=0.0)}, "levels.stall"),
        ({"default_confidence": 0.8, "levels": ClassLevels(stall=0.4)}, "levels"),
        ({"class_order": USUAL_CLASS_ORDER[1:]}, "class_order"),
        ({"temperatures": MonthlyTemperatures((1.0,) * 11, (5.0,) * 12)}, "temperatures.min_c"),
        ({"temperatures": MonthlyTemperatures((1.0,) * 12, (*(5.0,) * 11, 0.5))}, "temperatures.min_c"),
        ({"temperatures": MonthlyTemperatures((1.0,) * 12, (*(5.0,) * 11, 61.0))}, "temperatures.max_c"),
        ({"frost": frost("04-10", "04-10", "05-10", "10-01", "10-10", "10-20")}, "frost.last_spring_p50"),
        ({"frost": frost("04-10", "04-20", "05-10", "10-20", "10-10", "10-01")}, "frost.first_autumn_p50"),
        ({"prices": PriceRules(tax_percent=101.0)}, "prices.tax_percent"),
        ({"prices": PriceRules(stem_minor=-1)}, "prices.stem_minor"),
    ],
)
def test_a_setting_that_cannot_be_is_named(changes: dict[str, Any], column: str) -> None:
    assert [(fault.place, fault.row, fault.column) for fault in site_faults(site(**changes))] == [
        ("site", None, column)
    ]


def test_a_pole_is_still_on_earth() -> None:
    assert site_faults(site(latitude=-90.0)) == ()


def test_the_dates_of_a_frost_may_pass_the_year_end() -> None:
    mild = frost("12-20", "01-10", "02-05", "11-20", "12-15", "01-20")

    assert site_faults(replace(site(), frost=mild)) == ()


@pytest.mark.parametrize("name", ["", "../etc/passwd", "/etc/localtime", "Europe", "Europe/", "UTC "])
def test_what_is_no_time_zone(name: str) -> None:
    assert not is_timezone(name)


def test_a_time_zone_is_known_by_its_name() -> None:
    assert is_timezone("Pacific/Auckland")
