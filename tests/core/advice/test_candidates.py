"""Which sowings are worth trying."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.options.candidates import Candidate, candidates, work_days
from haulm.farm.products import Product
from haulm.farm.site import FrostDates, MonthDay, Site, SowingSeason
from haulm.farm.words import Form, LifeCycle, Method, Weekday
from support.forecast_builders import GRASS

SITE = Site("Test farm", 52.0, seasons={"hardy": SowingSeason(MonthDay(4, 1), MonthDay(8, 1), MonthDay(6, 1))})
TODAY = date(2027, 3, 15)
DUE = date(2027, 7, 5)
PLUGS_FROM = date(2027, 5, 12)


def found(site: Site = SITE, **changes: object) -> list[Candidate]:
    crop = replace(GRASS, **changes)  # type: ignore[arg-type]
    return list(candidates(site, crop, Product("grass"), today=TODAY, last_due=DUE, plugs_from=PLUGS_FROM))


def days_of(method: Method, site: Site = SITE) -> list[date]:
    return [candidate.day for candidate in found(site) if candidate.method is method]


def test_no_sowing_lies_before_today_or_on_the_day_it_is_due() -> None:
    assert all(TODAY <= candidate.day < DUE for candidate in found())


def test_each_method_is_tried_week_by_week_within_its_own_season() -> None:
    open_days = days_of(Method.DIRECT)
    assert open_days[0] == date(2027, 4, 5)
    assert {b - a for a, b in itertools.pairwise(open_days)} == {timedelta(weeks=1)}
    assert max(days_of(Method.COVER)) <= date(2027, 6, 1)


def test_in_the_south_the_same_day_is_another_season() -> None:
    south = Site("Test farm", -38.0, seasons={"hardy": SowingSeason(MonthDay(8, 1), MonthDay(4, 20), MonthDay(12, 1))})
    assert max(days_of(Method.DIRECT, south)) <= date(2027, 4, 20)


def test_what_flowers_only_next_year_is_never_tried() -> None:
    assert found(life_cycle=LifeCycle.PERENNIAL) == found(life_cycle=LifeCycle.BIENNIAL) == []


def test_bulbs_are_only_planted() -> None:
    assert {candidate.method for candidate in found(life_cycle=LifeCycle.BULB_TUBER)} == {Method.TUBER}


def test_a_candidate_becomes_a_batch_of_its_product_and_plugs_are_dated_by_planting() -> None:
    dried = Product("grass", Form.DRIED)
    sown = Candidate(dried, Method.DIRECT, TODAY).batch("x", 40)
    bought = Candidate(dried, Method.PLUGS, TODAY).batch("x", 40)
    assert (sown.product, sown.sow_date, sown.places) == (dried, TODAY, 40)
    assert (bought.sow_date, bought.plant_out_date, bought.places) == (None, TODAY, 40)


def test_plugs_are_planted_no_earlier_than_they_can_be_here_and_not_at_all_where_none_are_sold() -> None:
    days = days_of(Method.PLUGS)
    assert days and min(days) == PLUGS_FROM
    unsold = candidates(SITE, GRASS, Product("grass"), today=TODAY, last_due=DUE, plugs_from=None)
    assert all(candidate.method is not Method.PLUGS for candidate in unsold)


def test_nothing_is_sown_on_a_day_on_which_nobody_works() -> None:
    only = replace(SITE, work_days=(Weekday.TUE, Weekday.SAT))
    for today in (TODAY + timedelta(days=ahead) for ahead in range(7)):
        days = [c.day for c in candidates(only, GRASS, Product("grass"), today=today, last_due=DUE, plugs_from=None)]
        assert days and {day.isoweekday() for day in days} <= {2, 6}


@given(first=st.integers(0, 6), second=st.integers(0, 6))
def test_the_days_of_the_weeks_to_come_are_the_same_whichever_day_it_is_looked_at(first: int, second: int) -> None:
    one, other = (list(work_days(SITE, TODAY + timedelta(days=ahead), DUE)) for ahead in (first, second))
    assert [day for day in one if day > TODAY + timedelta(days=6)] == [
        d for d in other if d > TODAY + timedelta(days=6)
    ]


def test_tubers_wait_for_the_last_frost_of_a_middle_year_and_tender_seed_for_that_of_a_late_one() -> None:
    frost = FrostDates(
        MonthDay(4, 10), MonthDay(4, 28), MonthDay(5, 14), MonthDay(10, 1), MonthDay(10, 16), MonthDay(11, 2)
    )
    cold = Site("Test farm", 52.0, frost=frost)
    assert min(c.day for c in found(cold, life_cycle=LifeCycle.BULB_TUBER)) == date(2027, 5, 3)
    tender = [c.day for c in found(cold, life_cycle=LifeCycle.TENDER_ANNUAL) if c.method is Method.DIRECT]
    assert min(tender) == date(2027, 5, 17)
