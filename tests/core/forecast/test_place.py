"""Development by place: a figure of the library is the plant's need, carried to whatever climate the farm has."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.crop_library.library import climates, crop_for, library
from haulm.farm.stated import ReferenceClimate
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import BatchStatus, Form, LifeCycle, Method
from haulm.forecast.inputs import Climate, DateLevels, Evidence, MonthlyNormals, Setting, Sowing
from haulm.forecast.supply import Forecast, forecast
from haulm.horticulture.frost import NEVER

COLD_KINDS = tuple(key for key, kind in library().items() if kind.cold is not None)
ANNUALS = tuple(key for key, kind in library().items() if "annual" in kind.life_cycle.value)
MILD = MonthlyNormals((7, 7, 8, 10, 13, 17, 20, 21, 19, 15, 11, 8), (15, 16, 18, 21, 25, 29, 32, 33, 30, 25, 20, 16))


def kind(key: str, **own: object) -> Crop:
    return crop_for(replace(Variety(key, key), **own))  # type: ignore[arg-type]


def batch(crop: Crop, day: date | None, method: Method) -> Sowing:
    stands = method in (Method.ESTABLISHED, Method.TUBER, Method.PLUGS)
    status = BatchStatus.PLANTED if stands else BatchStatus.SOWN
    return Sowing("b", crop.key, crop, method, Form.FRESH, status, day, 100, 80)


def climate_of(place: ReferenceClimate, *, warmer_c: float = 0.0) -> Climate:
    low, high = (tuple(value + warmer_c for value in values) for values in (place.min_c, place.max_c))
    return Climate(normals=MonthlyNormals(low, high))


def made(sowing: Sowing, climate: Climate, today: date, *, latitude_deg: float = 52.2) -> Forecast:
    return forecast([sowing], climate, Setting(latitude_deg, today, seasons=400, seed=4))


def first_days(sowing: Sowing, climate: Climate, today: date, *, latitude_deg: float = 52.2) -> np.ndarray:
    """First days as ordinals; NEVER stays so."""
    found = made(sowing, climate, today, latitude_deg=latitude_deg)
    if not found.latents or found.seasons is None:
        return np.full(400, NEVER)
    days = found.latents[0].first_day.astype(int)
    return np.where(days >= NEVER, 10**7, days + found.seasons.span.first.toordinal())


def middle(days: np.ndarray) -> date:
    return date.fromordinal(int(np.median(days)))


@pytest.mark.parametrize("key", ANNUALS)
def test_the_stated_weeks_come_back_where_and_when_they_are_stated(key: str) -> None:
    crop = kind(key)
    assert crop.stated_for is not None
    place = crop.stated_for.climate
    day = date(2027, *crop.stated_for.month_day)
    days = first_days(batch(crop, day, Method.DIRECT), climate_of(place), day, latitude_deg=place.latitude_deg)

    assert (middle(days) - day).days == pytest.approx(7 * crop.weeks_to_flower, abs=4)


@pytest.mark.parametrize("key", COLD_KINDS)
def test_kinds_that_wait_for_winter_flower_on_the_librarys_day_where_it_is_stated(key: str) -> None:
    crop = kind(key)
    assert crop.stated_for is not None
    counted = date(2026 if crop.stated_for.month_day > (6, 1) else 2027, *crop.stated_for.month_day)
    sowing = batch(crop, None, Method.ESTABLISHED)
    if crop.life_cycle is LifeCycle.BIENNIAL:
        sowing = batch(crop, counted, Method.DIRECT)
    days = first_days(sowing, climate_of(crop.stated_for.climate), date(2027, 1, 5))

    expected = counted + timedelta(days=round(7 * crop.weeks_to_flower))
    assert abs((middle(days) - expected).days) <= 4


def test_an_own_figure_is_stated_for_the_farms_own_ground_sown_in_mid_april() -> None:
    cool = climate_of(climates()["england"], warmer_c=-2)
    day = date(2027, 4, 15)
    library_days, own = (
        first_days(batch(crop, day, Method.DIRECT), cool, day)
        for crop in (kind("cornflower"), kind("cornflower", weeks_to_flower=10.0))
    )

    assert (middle(own) - day).days == pytest.approx(70, abs=4)
    assert (middle(library_days) - day).days > 80


@settings(max_examples=10)
@given(st.sampled_from(("larkspur", "zinnia", "dahlia", "peony", "achillea")), st.floats(0.5, 4))
def test_a_colder_place_never_flowers_earlier(key: str, colder: float) -> None:
    """The cold of winter is had in both, so that only warmth differs."""
    crop = kind(key)
    standing = crop.cold is not None
    sowing = batch(crop, None if standing else date(2027, 5, 20), Method.ESTABLISHED if standing else Method.DIRECT)
    today = date(2027, 1, 5) if standing else date(2027, 5, 20)
    usual, cold = (
        np.sort(first_days(sowing, climate_of(climates()["england"], warmer_c=off), today)) for off in (0, -colder)
    )

    assert (cold >= usual).all()


@settings(max_examples=12)
@given(
    st.sampled_from(("sweet_william", "foxglove", "achillea", "tulip", "larkspur", "ranunculus")),
    st.integers(0, 330),
    st.integers(1, 40),
)
def test_a_later_start_never_flowers_earlier(key: str, start: int, later: int) -> None:
    crop = kind(key)
    method = Method.TUBER if crop.life_cycle is LifeCycle.BULB_TUBER else Method.DIRECT
    days = [date(2026, 2, 1) + timedelta(days=start + step) for step in (0, later)]
    first, second = (first_days(batch(crop, day, method), climate_of(climates()["england"]), days[1]) for day in days)
    # Pace is drawn for each growing year, so seasons are compared as a whole; some starts have too little winter left.
    one, other = (np.sort(found)[[100, 200, 300]] for found in (first, second))

    assert (other >= one - 3)[one < 10**7].all()


def test_tulips_planted_in_october_flower_in_spring_and_under_a_roof_sooner() -> None:
    crop = kind("tulip")
    planted = batch(crop, date(2026, 10, 15), Method.TUBER)
    england = climate_of(climates()["england"])
    outdoors, roofed = (
        middle(first_days(one, england, date(2026, 11, 1))) for one in (planted, replace(planted, tunnel=True))
    )

    assert date(2027, 4, 1) < outdoors < date(2027, 4, 21)
    assert date(2027, 3, 1) < roofed < outdoors - timedelta(days=10)


def test_where_winters_are_too_mild_there_are_no_stems_and_the_reason_counts_the_cold() -> None:
    planted = batch(kind("tulip"), date(2026, 10, 15), Method.TUBER)
    today = date(2026, 11, 1)
    mild = made(planted, Climate(normals=MILD), today, latitude_deg=36.8)
    cool = made(planted, climate_of(climates()["england"]), today)

    lacking = mild.cold_lacking(planted)
    assert lacking is not None and 0 < lacking.had < lacking.needed == 90
    assert np.mean(mild.latents[0].first_day >= NEVER) > 0.9
    assert cool.cold_lacking(planted) is None
    assert mild.cold_lacking(batch(kind("zinnia"), date(2027, 5, 1), Method.DIRECT)) is None


def test_bulbs_planted_after_winter_have_had_no_cold() -> None:
    late = batch(kind("tulip"), date(2027, 3, 10), Method.TUBER)
    found = made(late, climate_of(climates()["england"]), date(2027, 3, 10))

    lacking = found.cold_lacking(late)
    assert lacking is not None and lacking.had < 25
    assert (found.latents[0].first_day >= NEVER).all()


def test_a_biennial_sown_in_autumn_is_too_young_for_its_first_winter() -> None:
    crop = kind("sweet_william")
    england = climate_of(climates()["england"])
    june, september = (
        first_days(batch(crop, date(2026, month, 20), Method.DIRECT), england, date(2026, 10, 1)) for month in (6, 9)
    )

    assert middle(june).year == 2027
    assert middle(september).year == 2028


def test_a_perennial_from_seed_flowers_in_the_year_after() -> None:
    days = first_days(
        batch(kind("achillea"), date(2027, 4, 1), Method.COVER), climate_of(climates()["england"]), date(2027, 4, 1)
    )

    assert date(2028, 6, 1) < middle(days) < date(2028, 7, 10)


def test_the_south_waits_for_its_own_winter() -> None:
    place = climates()["england"]
    south = replace(place, min_c=place.min_c[6:] + place.min_c[:6], max_c=place.max_c[6:] + place.max_c[:6])
    days = first_days(
        batch(kind("peony"), None, Method.ESTABLISHED), climate_of(south), date(2026, 7, 5), latitude_deg=-52.2
    )

    assert abs((middle(days) - date(2026, 11, 30)).days) <= 6


def test_with_frost_dates_alone_the_librarys_day_is_taken_at_its_word() -> None:
    autumn = Climate(first_autumn_frost=DateLevels((9, 25), (10, 5), (10, 20)))
    days = first_days(batch(kind("peony"), None, Method.ESTABLISHED), autumn, date(2027, 1, 5))

    assert abs((middle(days) - date(2027, 5, 31)).days) <= 2


def test_two_hot_weeks_end_ranunculus_but_not_those_before_it_was_planted() -> None:
    crop = kind("ranunculus")
    hot = Climate(normals=replace(MILD, max_c=tuple(value + 1 for value in MILD.max_c)))
    planted = batch(crop, date(2026, 9, 25), Method.TUBER)
    found = made(planted, hot, date(2026, 10, 1), latitude_deg=36.8)
    assert found.seasons is not None
    ends = found.latents[0].kill_day[found.latents[0].kill_day < NEVER]
    span = found.seasons.span

    assert len(ends) > 300
    assert (ends > span.index(date(2027, 4, 15))).all() and (ends < span.index(date(2027, 7, 15))).all()
    seen = replace(planted, evidence=Evidence(first_cut=date(2027, 6, 30)))
    later = made(seen, hot, date(2027, 7, 1), latitude_deg=36.8)
    assert later.seasons is not None
    assert (later.latents[0].kill_day > later.seasons.span.index(date(2027, 6, 30))).all()


def test_later_kinds_of_the_library_stay_later_everywhere() -> None:
    place = climates()["ithaca"]
    order = ("narcissus", "tulip", "lilac", "peony", "achillea", "eryngium")
    days = [
        middle(
            first_days(
                batch(kind(key), None, Method.ESTABLISHED), climate_of(place), date(2027, 1, 5), latitude_deg=42.4
            )
        )
        for key in order
    ]

    assert all(one < other for one, other in itertools.pairwise(days))
