"""What the records of a batch cannot say, and daily temperatures that are not what they seem."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from haulm.farm.checks import farm_faults, farm_warnings
from haulm.farm.records import DayTemperature, Record
from haulm.farm.site import MonthlyTemperatures
from haulm.farm.snapshot import Farm
from haulm.farm.words import RecordKind
from support.farms import batch, farm, site

SOWN = Record("k1", dt.date(2027, 4, 1), RecordKind.SOWN, batch="b1", count=100)
PLANTED = Record("k2", dt.date(2027, 5, 10), RecordKind.PLANTED, batch="b1", count=80)


def told(*records: Record) -> Farm:
    """A farm with one batch and its records."""
    return farm(batches=(replace(batch(), key="b1", sow_date=dt.date(2027, 4, 1), sown=100),), records=records)


def later(kind: RecordKind, day: str, count: int | None = 10) -> Record:
    return Record("k9", dt.date.fromisoformat(day), kind, batch="b1", count=count)


@pytest.mark.parametrize(
    ("record", "column", "sentence"),
    [
        (later(RecordKind.GERMINATED, "2027-04-14", 101), "count", "at most the 100 places sown"),
        (later(RecordKind.PLANTED, "2027-05-11", 130), "count", "at most the 100 places sown"),
        (later(RecordKind.GERMINATED, "2027-03-31"), "date", "a date not before the batch was sown, 2027-04-01"),
        (later(RecordKind.CUT, "2027-05-09"), "date", "a date not before the batch was planted, 2027-05-10"),
        (later(RecordKind.STANDING, "2027-05-09"), "date", "a date not before the batch was planted, 2027-05-10"),
    ],
)
def test_a_record_that_cannot_be_is_refused_in_a_sentence(record: Record, column: str, sentence: str) -> None:
    (fault,) = farm_faults(told(SOWN, PLANTED, record))
    assert (fault.place, fault.row, fault.column, fault.accepted) == ("records", 2, column, sentence)


@pytest.mark.parametrize(
    ("other", "record", "sentence"),
    [
        (RecordKind.LOST, RecordKind.CUT, "a date not after the batch was lost, 2027-07-01"),
        (RecordKind.FIRST_CUT, RecordKind.NOT_YET, "a date before the first cut, 2027-07-01"),
    ],
)
def test_nothing_is_cut_of_a_lost_batch_and_nothing_is_awaited_once_cut(
    other: RecordKind, record: RecordKind, sentence: str
) -> None:
    first = Record("k3", dt.date(2027, 7, 1), other, batch="b1")
    (fault,) = farm_faults(told(SOWN, PLANTED, first, later(record, "2027-07-02")))
    assert fault.accepted == sentence
    corrected = Record("k4", dt.date(2027, 7, 3), RecordKind.CORRECTED, batch="b1", corrects="k3")
    assert farm_faults(told(SOWN, PLANTED, first, later(record, "2027-07-02"), corrected)) == ()


def test_a_story_in_order_is_sound_whatever_the_order_of_its_rows() -> None:
    cut = Record("k5", dt.date(2027, 7, 4), RecordKind.FIRST_CUT, batch="b1")
    not_yet = Record("k6", dt.date(2027, 7, 1), RecordKind.NOT_YET, batch="b1")
    assert farm_faults(told(cut, PLANTED, not_yet, SOWN)) == ()


def days(count: int, *, low: float = 4.0, high: float = 13.0, skip: tuple[int, int] = (0, 0)) -> Farm:
    """A farm with daily temperatures from 1 January 2005 on, without the days from `skip[0]` to `skip[1]`."""
    first = dt.date(2005, 1, 1)
    kept = [day for day in range(count) if not skip[0] <= day < skip[1]]
    return farm(temperatures=tuple(DayTemperature(first + dt.timedelta(days=day), low, high) for day in kept))


def test_swapped_columns_are_one_fault_not_one_for_each_day() -> None:
    (fault,) = farm_faults(days(400, low=13.0, high=4.0))
    assert (fault.place, fault.column, fault.found) == ("temperatures", "min_c", "min_c above max_c on 400 of 400 days")
    assert "swapped" in fault.accepted


def test_degrees_fahrenheit_are_one_fault_that_says_so() -> None:
    (fault,) = farm_faults(days(400, low=41.0, high=64.0))
    assert (fault.column, fault.found) == ("min_c", "a mean of 52.5 over 400 days")
    assert fault.accepted == "degrees Celsius: these look like Fahrenheit, and 52.5 F are 11.4 C"
    assert farm_faults(days(60, low=28.0, high=43.0)) == ()


def test_monthly_means_in_fahrenheit_are_refused() -> None:
    months = MonthlyTemperatures((34.0,) * 12, (55.0,) * 12)
    (fault,) = farm_faults(farm(site=replace(site(), temperatures=months)))
    assert (fault.place, fault.column) == ("site", "temperatures.min_c")
    assert "Fahrenheit" in fault.accepted


def test_gaps_and_few_years_are_warned_of_and_a_long_whole_series_is_not() -> None:
    def notes(found: Farm) -> tuple[str, ...]:
        return farm_warnings(found, lambda key: 7)

    assert notes(days(366 + 365 * 9)) == ()
    assert notes(days(366 + 365 * 9, skip=(100, 109))) == ()
    assert notes(days(366 + 365 * 9, skip=(100, 130))) == (
        "temperatures.csv has no row from 2005-04-11 to 2005-05-10, 30 days: a year with so long a gap may not count.",
    )
    (one_year,) = notes(days(365))
    assert one_year.startswith("temperatures.csv holds 1 full year; below 8 one year says little of another")
    (four,) = notes(days(365 * 4 + 1))
    assert four.startswith("temperatures.csv holds 4 full years; below 8 their monthly means are used")
