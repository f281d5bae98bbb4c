"""What a batch will give, in words: the promise is rounded down and the risk up, so nobody is told too much."""

from datetime import date

import pytest

from haulm.farm.words import BatchStatus
from haulm.forecast.no_stems import NoStems
from haulm.jobs.growing.batch_words import harvest_in_words, no_stems_in_words, none_in_words
from support.forecast_builders import sowing

TODAY = date(2027, 3, 15)
EARLY, MIDDLING, LATE = date(2027, 6, 2), date(2027, 6, 14), date(2027, 6, 28)


@pytest.mark.parametrize(
    ("none", "said"),
    [
        (0.0, "some stems in every season"),
        (0.001, "no stem in 1 season of 100"),
        (0.04, "no stem in 4 seasons of 100"),
        (0.0401, "no stem in 5 seasons of 100"),
        (1.0, "no stem in 100 seasons of 100"),
    ],
)
def test_seasons_without_a_stem_are_rounded_up(none: float, said: str) -> None:
    assert none_in_words(none) == said


def test_days_that_differ_are_told_with_their_spread_and_the_month_once() -> None:
    said = harvest_in_words((EARLY, MIDDLING, LATE), (900, 1200, 1500), 0.0, TODAY)

    assert said == (
        "First stems about 14 June (between 2 and 28 June in four seasons of five); "
        "1,200 stems (900 to 1,500); some stems in every season."
    )


def test_other_months_and_other_years_are_named() -> None:
    months = harvest_in_words((date(2027, 5, 28), MIDDLING, LATE), (1, 1, 1), 0.0, TODAY)
    years = harvest_in_words((date(2027, 12, 28), date(2028, 1, 4), date(2028, 1, 9)), (1, 1, 1), 0.0, TODAY)

    assert "(between 28 May and 28 June in" in months
    assert "about 4 January 2028 (between 28 December 2027 and 9 January 2028 in" in years


def test_a_day_that_is_known_has_no_spread_and_one_that_is_over_came() -> None:
    day = (EARLY, EARLY, EARLY)

    assert harvest_in_words(day, (1, 1, 1), 0.0, TODAY).startswith("First stems on 2 June; 1 stem; ")
    assert harvest_in_words(day, (1, 1, 1), 0.0, EARLY).startswith("First stems came on 2 June; ")


@pytest.mark.parametrize("why", list(NoStems))
def test_every_reason_for_no_stems_is_one_sentence_of_its_own(why: NoStems) -> None:
    said = no_stems_in_words(sowing(), why)

    assert said.startswith("It ") and said.endswith(".")
    assert said not in {no_stems_in_words(sowing(), other) for other in NoStems if other is not why}


def test_an_overdue_batch_names_the_day_that_nothing_was_written_down_of() -> None:
    planned = sowing("2027-03-01")
    sown = sowing("2027-03-01", status=BatchStatus.SOWN, plant_out_date=date(2027, 4, 20))

    assert "to be started on Mon 1 Mar 2027 and nothing" in no_stems_in_words(planned, NoStems.OVERDUE)
    assert "to be planted out on Tue 20 Apr 2027 and nothing" in no_stems_in_words(sown, NoStems.OVERDUE)
    assert "to be started and nothing" in no_stems_in_words(sowing(None), NoStems.OVERDUE)
