"""Laws of a season that is copied into the next."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.next_season import (
    Earned,
    Stays,
    begun_on,
    copied,
    copied_key,
    flowers_in,
    is_slack,
    middling_per_metre,
    poor_kinds,
    stays_for,
    usual_season,
)
from haulm.farm.products import KEY
from haulm.farm.weeks import Week, growing_year, same_day_next_year, same_week_next_year, weeks_in_year
from haulm.farm.words import BatchStatus, LifeCycle, Method
from support.farms import batch, site
from support.forecast_builders import crop

days = st.dates(date(2000, 1, 1), date(2100, 12, 31))
keys = st.from_regex(KEY.pattern, fullmatch=True).filter(lambda key: len(key) <= 64)


@given(days)
def test_a_copied_day_keeps_its_weekday_and_the_number_of_its_week(day: date) -> None:
    found = same_day_next_year(day)

    assert found.weekday() == day.weekday()
    assert found - day in (timedelta(weeks=52), timedelta(weeks=53))
    was, now = Week.of(day), Week.of(found)
    assert (now.year, now.number) == (was.year + 1, was.number) or (was.number, now.number) == (53, 1)


@given(days, st.integers(0, 40))
def test_days_of_a_season_stay_in_order_and_the_weeks_of_one_year_as_far_apart(day: date, weeks: int) -> None:
    later = day + timedelta(weeks=weeks)
    first, second = same_day_next_year(day), same_day_next_year(later)

    assert first <= second
    if Week.of(day).year == Week.of(later).year:
        assert second - first == later - day


@pytest.mark.parametrize(
    ("day", "copy"),
    [
        ("2027-04-05", "2028-04-03"),
        ("2026-04-06", "2027-04-12"),
        ("2026-12-31", "2028-01-06"),
        ("2028-02-29", "2029-02-27"),
    ],
)
def test_monday_of_week_14_is_monday_of_week_14_whether_the_year_has_52_weeks_or_53(day: str, copy: str) -> None:
    assert weeks_in_year(2026) == 53
    assert same_day_next_year(date.fromisoformat(day)) == date.fromisoformat(copy)
    assert same_week_next_year(Week.of(date.fromisoformat(day))) == Week.of(date.fromisoformat(copy))


def test_a_growing_year_begins_in_january_in_the_north_and_in_july_in_the_south() -> None:
    assert [growing_year(date(2027, month, 1), 52) for month in (1, 6, 7, 12)] == [2027] * 4
    assert [growing_year(date(2027, month, 1), -37) for month in (1, 6, 7, 12)] == [2026, 2026, 2027, 2027]


@given(keys, st.integers(2000, 2100), st.integers(2000, 2100))
def test_the_key_of_a_copy_is_a_key_and_the_copy_of_a_copy_that_of_the_first(key: str, one: int, other: int) -> None:
    assert KEY.fullmatch(copied_key(key, one))
    assert copied_key(key, one) != copied_key(key, one + 1)
    if len(key) + len("-in-2028") <= 64:
        assert copied_key(copied_key(key, one), other) == copied_key(key, other)


def test_long_keys_that_differ_at_their_end_have_copies_that_differ() -> None:
    assert copied_key("z" * 63 + "1", 2028) != copied_key("z" * 63 + "2", 2028)


@given(days, st.sampled_from([Method.COVER, Method.DIRECT, Method.PLUGS]), st.integers(0, 120))
def test_a_copy_is_the_same_sowing_a_year_later_with_nothing_done_of_it(day: date, method: Method, out: int) -> None:
    sown = None if method is Method.PLUGS else day
    one = batch(method=method, sown=72, bed="b", metres=4.0, status=BatchStatus.CUTTING, lot="tray 3", trays=1.0)
    one = type(one)(**{**_values(one), "sow_date": sown, "plant_out_date": day + timedelta(days=out)})

    found = copied(one, 2028)

    same = {name: value for name, value in _values(one).items() if name not in _CHANGED}
    assert {name: value for name, value in _values(found).items() if name not in _CHANGED} == same
    assert (found.status, found.lot, found.key) == (BatchStatus.PLANNED, None, "b1-in-2028")
    was, now = begun_on(one), begun_on(found)
    assert was is not None and now is not None and now.weekday() == was.weekday() and now > was
    assert copied(found, 2028).key == found.key


def test_what_stands_over_years_or_is_kept_over_winter_stays_and_annuals_are_sown_again() -> None:
    assert stays_for(batch(), crop(life_cycle=LifeCycle.PERENNIAL)) is Stays.PERENNIAL
    assert stays_for(batch(method=Method.ESTABLISHED), crop()) is Stays.PERENNIAL
    assert stays_for(batch(method=Method.TUBER), crop(life_cycle=LifeCycle.BULB_TUBER)) is Stays.TUBER
    assert stays_for(batch(), crop(life_cycle=LifeCycle.BIENNIAL)) is None
    assert stays_for(batch(), crop(life_cycle=LifeCycle.HALF_HARDY_ANNUAL)) is None


@pytest.mark.parametrize(
    ("life_cycle", "latitude", "sown", "year"),
    [
        (LifeCycle.HARDY_ANNUAL, 52, "2026-09-15", 2027),
        (LifeCycle.HARDY_ANNUAL, 52, "2027-03-15", 2027),
        (LifeCycle.BIENNIAL, 52, "2026-06-18", 2027),
        (LifeCycle.TENDER_ANNUAL, 52, "2027-07-20", 2027),
        (LifeCycle.HARDY_ANNUAL, -37, "2027-04-10", 2027),
        (LifeCycle.TENDER_ANNUAL, -37, "2027-11-10", 2027),
        (LifeCycle.TENDER_ANNUAL, -37, "2028-01-10", 2027),
    ],
)
def test_a_sowing_is_for_the_growing_year_in_which_it_flowers(
    life_cycle: LifeCycle, latitude: float, sown: str, year: int
) -> None:
    kind = crop(life_cycle=life_cycle, weeks_to_flower=13.0)
    assert flowers_in(batch(sow=sown), kind, site(latitude=latitude)) == year


def test_what_has_always_stood_there_is_for_no_one_year() -> None:
    assert flowers_in(batch(method=Method.ESTABLISHED), crop(), site()) is None


money = st.floats(0, 10_000, allow_nan=False)
farms = st.dictionaries(st.text("abcdefgh", min_size=1, max_size=2), st.builds(Earned, money, st.floats(0, 100)))


@given(farms)
def test_a_poor_kind_brings_less_than_a_third_of_the_middling_one_and_never_are_half_of_them_poor(
    earned: dict[str, Earned],
) -> None:
    poor = poor_kinds(earned)
    known = {kind for kind, one in earned.items() if one.metres > 0}

    assert poor <= known and 2 * len(poor) <= len(known)
    assert not poor or len(known) >= 4
    assert all(earned[kind].per_metre < middling_per_metre(earned) / 3 for kind in poor)
    if len(known) >= 4:
        assert all(earned[kind].per_metre >= middling_per_metre(earned) / 3 for kind in known - poor)


def test_where_nothing_brings_anything_nobody_is_poor() -> None:
    assert poor_kinds({kind: Earned(0, 5) for kind in "abcdef"}) == frozenset()
    assert poor_kinds({kind: Earned(value, 1) for kind, value in zip("abcd", (1, 10, 10, 10), strict=True)}) == {"a"}


def test_the_season_copied_is_this_one_or_the_last_that_has_sowings() -> None:
    assert usual_season({2026, 2027, 2028}, 2027) == 2027
    assert usual_season({2026, 2027}, 2028) == 2027
    assert usual_season({2028}, 2027) is None and usual_season((), 2027) is None


def test_the_slack_months_are_half_a_year_apart_in_the_south() -> None:
    year = [date(2027, month, 15) for month in range(1, 13)]
    assert [day.month for day in year if is_slack(day, 52)] == [1, 2, 10, 11, 12]
    assert [day.month for day in year if is_slack(day, -37)] == [4, 5, 6, 7, 8]


_CHANGED = ("key", "sow_date", "plant_out_date", "status", "lot")


def _values(one: object) -> dict[str, object]:
    return {name: getattr(one, name) for name in one.__dataclass_fields__}  # type: ignore[attr-defined]
