"""The sea is where the map has it, and hills are where people live in them."""

import pytest

from haulm.gazetteer.ground import ground_at


@pytest.mark.parametrize(
    ("latitude", "longitude", "near", "far"),
    [
        (50.22, -5.33, 0, 12),  # Camborne, between two seas
        (55.97, -3.21, 0, 20),  # Edinburgh, on the Forth
        (52.48, -1.90, 70, 150),  # Birmingham, as far from the sea as England goes
        (47.38, 8.57, 280, 380),  # Zurich: the Ligurian sea and the Adriatic
        (41.60, -93.60, 1000, 1020),  # Iowa: beyond what is told apart
        (-33.38, 149.13, 150, 200),  # Orange, New South Wales
    ],
)
def test_the_way_to_the_sea_is_the_one_on_the_map(latitude: float, longitude: float, near: int, far: int) -> None:
    ground = ground_at(latitude, longitude)
    assert ground is not None
    assert near <= ground.sea_km <= far


@pytest.mark.parametrize(
    ("latitude", "longitude", "low", "high"),
    [(52.1, 5.18, 0, 20), (57.01, -3.4, 150, 400), (-33.38, 149.13, 800, 1000), (46.8, 9.83, 900, 1800)],
)
def test_heights_are_those_of_the_places_about(latitude: float, longitude: float, low: int, high: int) -> None:
    ground = ground_at(latitude, longitude)
    assert ground is not None and ground.height_m is not None
    assert low <= ground.height_m <= high


def test_where_nobody_lives_no_height_is_made_up_and_beyond_the_grid_there_is_nothing() -> None:
    ocean = ground_at(45, -40)
    assert ocean is not None and ocean.height_m is None and ocean.sea_km == 0
    assert ground_at(72, 20) is None
    assert ground_at(-60.1, 0) is None
    assert ground_at(71.9, 180) is not None
