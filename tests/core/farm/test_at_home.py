"""What is at home or ordered holds for a season, for a variety and what it is begun from."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.at_home import AtHome, holds_until, in_hand, needed
from haulm.farm.words import InHand, Method, Needed

DAYS = st.dates(date(2020, 1, 1), date(2040, 12, 31))
LATITUDES = st.sampled_from((52.0, 0.0, -37.0))


def test_it_holds_to_the_end_of_autumn_sowing_and_what_is_bought_after_that_for_the_next_season() -> None:
    assert holds_until(date(2027, 3, 15), 52.0) == date(2027, 10, 31)
    assert holds_until(date(2027, 10, 31), 52.0) == date(2027, 10, 31)
    assert holds_until(date(2027, 11, 1), 52.0) == date(2028, 10, 31)
    assert holds_until(date(2027, 9, 15), -37.0) == date(2028, 4, 30)


@given(day=DAYS, latitude=LATITUDES)
def test_it_holds_on_its_day_and_never_for_more_than_a_year(day: date, latitude: float) -> None:
    assert day <= holds_until(day, latitude) < day + timedelta(days=366)


@given(day=DAYS, later=st.integers(0, 500), latitude=LATITUDES)
def test_it_is_in_hand_from_its_day_to_its_last_one(day: date, later: int, latitude: float) -> None:
    row = AtHome("zinnia", Needed.SEED, InHand.AT_HOME, day)
    on = day + timedelta(days=later)
    found = in_hand([row], "zinnia", Needed.SEED, (on, latitude))
    assert (found is row) == (on <= holds_until(day, latitude))
    assert in_hand([row], "zinnia", Needed.SEED, (day - timedelta(days=1), latitude)) is None
    assert in_hand([row], "zinnia", Needed.PLUGS, (day, latitude)) is None
    assert in_hand([row], "cosmos", Needed.SEED, (day, latitude)) is None


def test_seed_is_for_each_way_of_sowing_it_and_what_stands_already_needs_nothing() -> None:
    assert {needed(method) for method in (Method.HEATED, Method.COVER, Method.DIRECT)} == {Needed.SEED}
    assert needed(Method.PLUGS) is Needed.PLUGS and needed(Method.TUBER) is Needed.TUBERS
    assert needed(Method.ESTABLISHED) is None
