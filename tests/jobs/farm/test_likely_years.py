"""What cannot be of a past year is refused; what is far from the figure in use is asked about, and may be so."""

from dataclasses import replace
from datetime import date

import pytest

from haulm.evidence.past_years import stems_a_plant, stems_before
from haulm.farm.past_years import PastYear
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.jobs.farm.likely_years import name_of, require_likely, year_faults
from support.farms import farm, variety

TODAY = date(2027, 3, 15)
FARM = farm(varieties=(variety(stems_per_plant=6.0),))
YEAR = PastYear("y1", 2026, "lagurus", stems=480, plants=100)


def grown(times: float) -> PastYear:
    """A year in which so many times the usual grew: stems are counted for sale, figures before sorting."""
    for_sale = 10_000 / (stems_a_plant(replace(YEAR, stems=1, plants=1)) or 0)
    return replace(YEAR, plants=10_000, stems=round(times * stems_before(FARM, ("lagurus",)) * for_sale))


def faults(row: PastYear) -> list[tuple[str | None, str]]:
    with pytest.raises(FolderRefused) as refusal:
        require_likely(FARM, row, TODAY)
    return [(fault.column, fault.found) for fault in refusal.value.faults]


def test_a_likely_year_is_written_as_it_is_and_its_yes_is_forgotten() -> None:
    assert require_likely(FARM, YEAR, TODAY) == YEAR
    assert require_likely(FARM, replace(YEAR, really=True), TODAY) == YEAR


@pytest.mark.parametrize(("times", "said"), [(10.01, "60"), (0.0999, "0.6")])
def test_ten_times_the_usual_or_a_tenth_is_asked_about_and_written_when_said_again(times: float, said: str) -> None:
    row = grown(times)
    question = (
        rf"^Really\? Lagurus, 2026: {row.stems:,} stems for sale of 10,000 plants"
        rf" are about {said} a plant before sorting; usual are 6\.0\."
    )

    with pytest.raises(DoubtfulRecord, match=question):
        require_likely(FARM, row, TODAY)
    assert require_likely(FARM, replace(row, really=True), TODAY).really


@pytest.mark.parametrize("times", [9.99, 1.0, 0.1001])
def test_less_than_ten_times_and_more_than_a_tenth_is_not_asked_about(times: float) -> None:
    assert require_likely(FARM, grown(times), TODAY) == grown(times)


def test_a_year_to_come_and_days_to_come_are_refused() -> None:
    assert faults(replace(YEAR, year=2028)) == [("year", "2028")]
    late = replace(YEAR, year=2027, sow_date=TODAY, first_cut=date(2027, 3, 16), last_cut=date(2027, 6, 1))
    assert [column for column, _ in faults(late)] == ["first_cut", "last_cut"]


def test_a_kind_that_nobody_grows_is_refused_with_those_that_are() -> None:
    with pytest.raises(FolderRefused, match="kind: found 'tulip'; accepted is a kind that this farm has varieties of"):
        require_likely(FARM, replace(YEAR, variety=None, kind="tulip"), TODAY)


def test_a_folder_says_the_same_of_its_rows_by_their_place() -> None:
    odd = replace(YEAR, key="y2", stems=100_000)
    held = replace(FARM, past_years=(YEAR, odd, replace(odd, key="y3", really=True), replace(YEAR, year=2028)))

    assert [(found.place, found.row, found.column) for found in year_faults(held, TODAY)] == [
        ("past_years.csv", 3, "stems"),
        ("past_years.csv", 5, "year"),
    ]
    assert [found.row for found in year_faults(held, None)] == [3]


def test_a_row_is_named_by_its_variety_or_says_it_is_of_all() -> None:
    assert name_of(FARM, YEAR) == "Lagurus"
    assert name_of(FARM, replace(YEAR, variety=None, kind="tulip")) == "tulip, all varieties"
