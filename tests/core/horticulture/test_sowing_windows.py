"""Laws of sowing windows."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from haulm.farm.words import LifeCycle, Method
from haulm.horticulture.sowing_windows import SowingRules, last_useful_sowing, sowable

HARDY, TENDER = LifeCycle.HARDY_ANNUAL, LifeCycle.TENDER_ANNUAL
NORTH = SowingRules(last_frost_p50=(5, 1), last_frost_p90=(5, 15), first_frost_p50=(10, 5))
SOUTH = SowingRules(last_frost_p50=(10, 10), last_frost_p90=(10, 25), first_frost_p50=(4, 20))


@pytest.mark.parametrize(
    ("method", "day", "kind", "expected"),
    [
        (Method.DIRECT, date(2027, 4, 16), HARDY, False),
        (Method.DIRECT, date(2027, 4, 17), HARDY, True),
        (Method.DIRECT, date(2027, 5, 14), TENDER, False),
        (Method.DIRECT, date(2027, 5, 15), TENDER, True),
        (Method.DIRECT, date(2027, 10, 6), TENDER, False),
        (Method.COVER, date(2027, 2, 10), HARDY, False),
        (Method.HEATED, date(2027, 2, 10), HARDY, True),
        (Method.HEATED, date(2027, 1, 15), HARDY, False),
        (Method.PLUGS, date(2027, 5, 20), TENDER, True),
        (Method.ESTABLISHED, date(2027, 5, 20), HARDY, False),
    ],
)
def test_each_method_has_its_season(method: Method, day: date, kind: LifeCycle, expected: bool) -> None:
    assert sowable(method, day, life_cycle=kind, latitude_deg=52, rules=NORTH) is expected


def test_a_southern_season_passes_new_year() -> None:
    days = (date(2027, 1, 5), date(2027, 7, 5), date(2027, 11, 1))
    found = [sowable(Method.DIRECT, day, life_cycle=TENDER, latitude_deg=-40, rules=SOUTH) for day in days]
    assert found == [True, False, True]


def test_what_the_farm_says_wins_over_its_frost_dates() -> None:
    rules = SowingRules(direct_from=(3, 20), glass_until=(6, 30), last_frost_p50=(5, 1), first_frost_p50=(10, 5))
    assert sowable(Method.DIRECT, date(2027, 3, 20), life_cycle=HARDY, latitude_deg=52, rules=rules)
    assert not sowable(Method.HEATED, date(2027, 7, 1), life_cycle=HARDY, latitude_deg=52, rules=rules)


def test_hardy_annuals_alone_have_a_second_season_in_autumn_whatever_the_last_sowing_is() -> None:
    rules = SowingRules(direct_until=(6, 30), glass_until=(6, 15), last_frost_p50=(5, 1), first_frost_p50=(10, 5))

    def months(method: Method, kind: LifeCycle) -> set[int]:
        days = (date(2027, 7, 1) + timedelta(days=step) for step in range(184))
        return {day.month for day in days if sowable(method, day, life_cycle=kind, latitude_deg=52, rules=rules)}

    assert months(Method.DIRECT, HARDY) == months(Method.PLUGS, HARDY) == months(Method.COVER, HARDY) == {8, 9, 10}
    assert months(Method.DIRECT, LifeCycle.HALF_HARDY_ANNUAL) == months(Method.DIRECT, LifeCycle.BIENNIAL) == set()


def test_an_autumn_in_the_south_is_half_a_year_away() -> None:
    rules = SowingRules(direct_until=(12, 31), last_frost_p50=(10, 10), first_frost_p50=(4, 20))
    days = (date(2027, 2, 20), date(2027, 3, 1), date(2027, 5, 11), date(2027, 5, 12))
    found = [sowable(Method.DIRECT, day, life_cycle=HARDY, latitude_deg=-40, rules=rules) for day in days]
    assert found == [False, True, True, False]


def test_a_last_useful_sowing_leaves_the_cutting_days_wanted() -> None:
    assert last_useful_sowing(date(2027, 10, 5), weeks_to_flower=14) == date(2027, 6, 15)
