"""Past years say what they count for and why not, the latest first; those taken back last can be put back."""

from collections.abc import Callable

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.list_past_years import list_past_years
from haulm.jobs.farm.take_back_row import take_back_row
from support.desks import done
from support.farms import grower_folder


@pytest.fixture
def farm(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """Two past years of a zinnia: of the earlier one the stems, of the later one a first cut and no day of sowing."""
    return open_desk(
        grower_folder(
            varieties="key,name\nzinnia_white,White zinnia",
            past_years="""
                key,variety,year,sow_date,first_cut,stems,plants
                p1,zinnia_white,2025,,,1500,100
                p2,zinnia_white,2026,,2026-07-10,,
                """,
        )
    )


def test_each_year_says_what_it_counts_for_and_why_not(farm: Desk) -> None:
    late, early = list_past_years(farm).shown

    assert (late.row.key, early.row.key, early.name) == ("p2", "p1", "White zinnia")
    assert (early.counts, early.a_plant, early.lost) == ("Counts for stems.", 15.0, ())
    assert (late.counts, late.a_plant) == ("", None)
    assert late.lost == ("Its first cut does not count: the day it was sown is not known.",)


def test_a_year_taken_back_can_be_put_back_once(farm: Desk) -> None:
    assert list_past_years(farm).gone == ()
    done(farm, lambda work: take_back_row(work, "past_years", "p1"))

    found = list_past_years(farm)
    assert [one.row.key for one in found.shown] == ["p2"]
    assert [(one.row.key, one.row.stems) for one in found.gone] == [("p1", 1500)]
