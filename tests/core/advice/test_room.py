"""Room: what stands where, and where one more batch would fit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.room import Room, bed_dates, metres_needed, trays_needed
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.weeks import Week
from haulm.farm.words import BatchStatus, BedKind, Method
from support.forecast_builders import GRASS

CROPS = {"grass": GRASS}
SOWN = date(2027, 3, 15)
NORTH = Bed("north", "North", metres=10.0, width_cm=100.0)
TUNNEL = Bed("tunnel", "Tunnel", metres=10.0, width_cm=100.0, kind=BedKind.TUNNEL)
BENCH = Bed("bench", "Bench", trays=4, kind=BedKind.BENCH)


def sown(places: int = 100, **changes: object) -> Batch:
    return replace(Batch("b", "grass", SOWN, Method.COVER, sown=places), **changes)  # type: ignore[arg-type]


def room(*batches: Batch, beds: tuple[Bed, ...] = (NORTH,)) -> Room:
    return Room.of(beds, batches, CROPS)


def test_a_raised_batch_is_in_its_bed_from_planting_to_the_end_of_its_cutting() -> None:
    planted = SOWN + timedelta(weeks=6)
    assert bed_dates(sown(), GRASS) == (planted, SOWN + timedelta(weeks=17.5))


def test_a_batch_sown_in_place_is_in_its_bed_from_the_day_of_sowing() -> None:
    dates = bed_dates(sown(method=Method.DIRECT), GRASS)
    assert dates is not None and dates[0] == SOWN


def test_bought_plants_are_in_their_bed_from_planting_and_flower_as_if_raised_here() -> None:
    planted = date(2027, 5, 1)
    plugs = sown(method=Method.PLUGS, sow_date=None, plant_out_date=planted)
    assert bed_dates(plugs, GRASS) == (planted, planted - timedelta(weeks=6) + timedelta(weeks=17.5))


def test_metres_follow_from_rows_and_spacing() -> None:
    # Five rows of 20 cm in 100 cm; 100 places are 20 a row, 20 cm apart.
    assert metres_needed(100, GRASS, NORTH) == pytest.approx(4.0)


def test_trays_follow_the_farms_own_usual_size_of_tray() -> None:
    assert trays_needed(130, [sown(60, trays=1.0), sown(120, trays=2.0)]) == 3
    assert trays_needed(130, []) == 2


def test_a_full_bed_takes_no_more_until_it_is_cleared() -> None:
    full = sown(250, bed="north")
    assert room(full).bed_for(sown(10), GRASS) is None
    assert room(full).bed_for(sown(10, sow_date=SOWN + timedelta(weeks=12)), GRASS) == ("north", 0.4)


def test_a_finished_batch_leaves_its_bed() -> None:
    assert room(sown(250, bed="north", status=BatchStatus.FINISHED)).bed_for(sown(10), GRASS) is not None


def test_the_bed_with_the_least_room_left_over_is_taken_and_a_covered_one_last() -> None:
    small = replace(NORTH, key="small", metres=5.0)
    beds = (TUNNEL, NORTH, small)
    assert room(beds=beds).bed_for(sown(100), GRASS) == ("small", 4.0)
    assert room(beds=(replace(TUNNEL, metres=4.0), NORTH)).bed_for(sown(100), GRASS) == ("north", 4.0)


def test_benches_hold_no_more_trays_than_they_have() -> None:
    taken = sown(300, trays=3.0)
    assert room(taken, beds=(BENCH,)).has_bench_for(sown(), GRASS, 1)
    assert not room(taken, beds=(BENCH,)).has_bench_for(sown(), GRASS, 2)
    assert room(taken, beds=(BENCH,)).has_bench_for(sown(sow_date=SOWN + timedelta(weeks=7)), GRASS, 4)


def test_a_farm_that_lists_no_benches_is_held_to_none() -> None:
    assert room().has_bench_for(sown(), GRASS, 1000)


@given(places=st.lists(st.integers(1, 200), max_size=8))
def test_batches_put_in_one_after_another_never_overfill_a_bed(places: list[int]) -> None:
    now = room()
    for count in places:
        batch = sown(count)
        found = now.bed_for(batch, GRASS)
        if found is not None:
            now = now.with_batch(replace(batch, bed=found[0], metres=found[1]), GRASS)
    assert sum(stay.amount for stay in now.in_beds) <= 10.0 + 1e-6


class TestToTheLastStem:
    LAST = date(2027, 7, 1)

    def test_a_batch_leaves_its_bed_with_the_last_stem_that_the_forecast_gives_it(self) -> None:
        full = sown(250, bed="north")
        held = Room.of((NORTH,), (full,), CROPS, lambda batch: self.LAST)
        assert held.dates(full, GRASS) == (SOWN + timedelta(weeks=6), self.LAST)
        next_one = Room.of((NORTH,), (full,), CROPS, lambda batch: self.LAST + timedelta(days=60 * (batch.key == "n")))
        assert next_one.bed_for(sown(10, key="n", plant_out_date=self.LAST), GRASS) is None
        assert next_one.bed_for(sown(10, key="n", plant_out_date=self.LAST + timedelta(days=1)), GRASS) is not None

    def test_without_a_forecast_of_it_the_calendar_says(self) -> None:
        held = Room.of((NORTH,), (), CROPS, lambda batch: None)
        assert held.dates(sown(), GRASS) == bed_dates(sown(), GRASS)

    def test_what_always_stands_there_stays(self) -> None:
        held = Room.of((NORTH,), (), CROPS, lambda batch: self.LAST)
        assert held.dates(sown(method=Method.ESTABLISHED), GRASS) == (date.min, date.max)


class TestOverFull:
    def test_a_bed_that_is_asked_for_more_than_it_has_is_named_week_by_week(self) -> None:
        first, second = sown(150, bed="north"), sown(150, key="c", bed="north", sow_date=SOWN + timedelta(weeks=4))
        found = room(first, second).over_full(SOWN, SOWN + timedelta(weeks=30))
        both = [Week.of(SOWN + timedelta(weeks=10)).plus(number) for number in range(8)]
        assert [one.week for one in found] == both
        assert {(one.bed, one.asked, one.metres) for one in found} == {("north", 12.0, 10.0)}

    def test_a_bed_that_is_just_full_is_not_over_full(self) -> None:
        assert room(sown(250, bed="north")).over_full(SOWN, SOWN + timedelta(weeks=30)) == ()

    def test_nothing_more_fits_into_an_over_full_bed(self) -> None:
        crowded = room(sown(150, bed="north"), sown(150, key="c", bed="north"))
        assert crowded.bed_for(sown(1), GRASS) is None
