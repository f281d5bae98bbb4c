"""What is proposed for a place, before anybody has typed a temperature."""

from datetime import date

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.gazetteer.places import places_named
from haulm.jobs.farm.propose_place import propose_place

TODAY = date(2027, 3, 1)


def number(name: str) -> int:
    return places_named(name)[0].number


def test_a_farm_on_the_coast_gets_the_coast_and_one_in_the_hills_the_hills() -> None:
    coast = propose_place(number("Aarhus"), TODAY)
    hills = propose_place(number("Orange, Australia"), TODAY)
    assert coast.climate.of.key == "aarhus" and coast.by_the_sea
    assert hills.climate.of.key == "orange_nsw" and not hills.by_the_sea
    assert hills.climate.max_c[0] > hills.climate.max_c[6], "January is summer there"


def test_frosts_are_those_of_the_half_of_the_world() -> None:
    north, south = (propose_place(number(name), TODAY) for name in ("Aarhus", "Orange, Australia"))
    assert north.last_frost is not None and 3 <= north.last_frost.p50[0] <= 5
    assert south.last_frost is not None and 8 <= south.last_frost.p50[0] <= 11
    assert south.first_frost is not None and 4 <= south.first_frost.p50[0] <= 6


def test_what_she_says_of_the_height_moves_every_month_and_the_frost() -> None:
    low, high = (propose_place(number("Aarhus"), TODAY, height_m=height) for height in (25, 125))
    assert low.height_said and not propose_place(number("Aarhus"), TODAY).height_said
    assert low.climate.of == high.climate.of
    assert low.climate.min_c[3] - high.climate.min_c[3] == pytest.approx(0.65, abs=0.06)
    assert low.last_frost is not None and high.last_frost is not None
    assert low.last_frost.p50 < high.last_frost.p50


def test_where_winters_have_no_frost_none_is_made_up() -> None:
    assert propose_place(number("Lisbon"), TODAY).last_frost is None


def test_a_height_or_a_place_that_cannot_be_is_refused() -> None:
    with pytest.raises(NotAccepted, match="height"):
        propose_place(number("Aarhus"), TODAY, height_m=9000)
    with pytest.raises(NotFound):
        propose_place(1, TODAY)
    with pytest.raises(NotAccepted, match="72"):
        propose_place(number("Longyearbyen"), TODAY)
