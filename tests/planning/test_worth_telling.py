"""The figure that would help most: what a grower who told it could promise more."""

from dataclasses import replace
from datetime import date

from haulm.farm.past_years import PastYear
from haulm.farm.words import Method
from haulm.jobs.growing.doubt_words import worth_in_words
from haulm.planning.doubt_explained import FigureToTell, WorthTelling, worth_telling_of_batch
from support.farms import batch
from support.planned_farms import growing_farm, planned

KNOWN = tuple(PastYear(f"y{year}", year, variety="cosmos_white", stems=1600, plants=100) for year in (2024, 2025, 2026))
LARGE = (batch("c1", variety="cosmos_white", sow="2027-04-26", method=Method.DIRECT, plants=200, bed="south"),)


def test_in_the_first_year_a_figure_is_worth_stems_and_less_once_the_farm_has_told_its_own() -> None:
    first = growing_farm(batches=LARGE)
    before, after = (
        worth_telling_of_batch(planned(each, seasons=600), "c1", 0.8)
        for each in (first, replace(first, past_years=KNOWN))
    )

    assert before is not None and before.figure is FigureToTell.TOTAL
    assert 0 < (0 if after is None else after.stems) < before.stems


def test_a_batch_that_is_not_there_has_no_figure_worth_telling() -> None:
    assert worth_telling_of_batch(planned(growing_farm()), "nobody", 0.8) is None


def test_a_farm_without_a_climate_is_told_of_no_figure() -> None:
    farm = growing_farm(batches=())
    bare = replace(farm, site=replace(farm.site, temperatures=None, frost=None))

    assert worth_telling_of_batch(planned(bare, date(2027, 3, 15)), "c1", 0.8) is None


def test_what_is_worth_telling_is_said_with_its_stems() -> None:
    said = worth_in_words(WorthTelling("cosmos", "Cosmos", FigureToTell.TOTAL, 1))

    assert said == "With last year's total of Cosmos about 1 more stem might be promised of those days."
    assert worth_in_words(None) == ""
