"""Laws of a rhythm of sowings."""

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.rhythm import Rhythm, rhythm_batches, rhythm_days
from haulm.farm.beds import Bed
from haulm.farm.words import Method
from support.forecast_builders import crop

FIRST = date(2027, 4, 5)
days = st.dates(date(2026, 1, 1), date(2028, 12, 31))


def rhythm(
    first: date = FIRST, last: date = date(2027, 6, 30), every: int = 3, method: Method = Method.COVER
) -> Rhythm:
    return Rhythm("zinnia", first, last, every, 72, method)


def test_every_three_weeks_from_april_to_june_is_five_sowings() -> None:
    assert [f"{day:%d %b}" for day in rhythm_days(rhythm())] == ["05 Apr", "26 Apr", "17 May", "07 Jun", "28 Jun"]


@given(days, days, st.integers(1, 26))
def test_days_stand_the_weeks_apart_none_before_the_first_and_none_after_the_last(
    first: date, last: date, every: int
) -> None:
    found = rhythm_days(rhythm(first, last, every))
    assert all(later - day == timedelta(weeks=every) for day, later in pairwise(found))
    assert all(first <= day <= last for day in found)
    assert bool(found) is (first <= last)
    assert not found or last - found[-1] < timedelta(weeks=every)


def test_each_is_complete_as_a_single_sowing_is() -> None:
    bed = Bed("b1", "Long bed", metres=30, width_cm=100)
    grown = crop(spacing_cm=25.0, row_cm=25.0)
    found = rhythm_batches(rhythm(), ["a", "b", "c", "d", "e"], crop=grown, bed=bed)
    assert [batch.key for batch in found] == ["a", "b", "c", "d", "e"]
    assert {(batch.variety, batch.sown, batch.plants, batch.bed, batch.method) for batch in found} == {
        ("zinnia", 72, None, "b1", Method.COVER)
    }
    assert {batch.metres for batch in found} == {4.5}, "72 places in four rows, a quarter of a metre apart"
    assert {batch.trays for batch in found} == {1.0}


def test_what_is_sown_in_place_takes_no_bench_and_bought_plants_are_planted() -> None:
    (direct, *_) = rhythm_batches(rhythm(method=Method.DIRECT), "abcde", crop=crop())
    (plugs, *_) = rhythm_batches(rhythm(method=Method.PLUGS), "abcde", crop=crop())
    assert (direct.trays, direct.sow_date, direct.sown) == (None, FIRST, 72)
    assert (plugs.trays, plugs.sow_date, plugs.plant_out_date, plugs.plants) == (None, None, FIRST, 72)
