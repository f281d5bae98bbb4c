"""Which sowings are worth trying."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, timedelta

from haulm.advice.options.candidates import Candidate, candidates
from haulm.farm.products import Product
from haulm.farm.site import MonthDay, Site, SowingSeason
from haulm.farm.words import Form, LifeCycle, Method
from support.forecast_builders import GRASS

SITE = Site("Test farm", 52.0, seasons={"hardy": SowingSeason(MonthDay(4, 1), MonthDay(8, 1), MonthDay(6, 1))})
TODAY = date(2027, 3, 15)
DUE = date(2027, 7, 5)


def found(site: Site = SITE, **changes: object) -> list[Candidate]:
    crop = replace(GRASS, **changes)  # type: ignore[arg-type]
    return list(candidates(site, crop, Product("grass"), today=TODAY, last_due=DUE))


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
