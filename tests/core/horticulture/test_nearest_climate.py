"""Laws of the climate that is proposed for a place nobody has measured."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.nearest_climate import KnownClimate, Spot, kilometres, nearest_climate, steps_apart

spots = st.builds(Spot, st.floats(-59, 71), st.floats(-180, 180), st.floats(-50, 3000), st.floats(0, 1020))
LOW, HIGH = tuple(range(12)), tuple(range(10, 22))
COAST = KnownClimate("coast", "Coast", Spot(56, -3, 20, 4), LOW, HIGH, True, "measured")
INLAND = KnownClimate("inland", "Inland", Spot(56, 37, 150, 600), LOW, HIGH, True, "measured")
SOUTH = KnownClimate("south", "South", Spot(-33, 149, 900, 180), LOW, HIGH, True, "measured")
KNOWN = (COAST, INLAND, SOUTH)


@given(spots, spots)
def test_no_place_is_nearer_than_the_place_itself_and_the_way_back_is_as_long(one: Spot, other: Spot) -> None:
    assert steps_apart(one, one) == pytest.approx(0, abs=1e-3)
    assert steps_apart(one, other) == pytest.approx(steps_apart(other, one))
    assert 0 <= kilometres(one, other) <= 20_016


def test_the_way_between_two_cities_is_the_one_in_the_atlas() -> None:
    london, paris = Spot(51.507, -0.128, 0, 0), Spot(48.857, 2.351, 0, 0)
    assert kilometres(london, paris) == pytest.approx(344, abs=2)


@given(spots)
def test_a_place_never_takes_its_months_from_the_other_half_of_the_world(spot: Spot) -> None:
    assert (nearest_climate(spot, KNOWN).of.spot.latitude_deg < 0) is (spot.latitude_deg < 0)


def test_a_hundred_metres_up_is_colder_by_two_thirds_of_a_degree_night_and_day() -> None:
    higher = nearest_climate(replace(COAST.spot, height_m=120), KNOWN)
    assert higher.of == COAST
    assert higher.warmer_c == pytest.approx(-0.65)
    assert [new - old for new, old in zip(higher.min_c, LOW, strict=True)] == pytest.approx([-0.65] * 12, abs=0.06)
    assert [new - old for new, old in zip(higher.max_c, HIGH, strict=True)] == pytest.approx([-0.65] * 12, abs=0.06)


def test_the_further_off_a_climate_is_the_further_off_its_figures_may_be() -> None:
    here = nearest_climate(COAST.spot, KNOWN)
    beside = nearest_climate(replace(COAST.spot, latitude_deg=58, sea_km=60), KNOWN)
    assert here.apart_km == pytest.approx(0, abs=0.1)
    assert here.off_c < beside.off_c
