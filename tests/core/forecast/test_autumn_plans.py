"""An autumn sowing is a plan like any other: tried where it is in season, taken where its winter is survived."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from haulm.farm.words import LifeCycle
from haulm.forecast.back_plan import BackPlan, Target, back_plan, sow_days
from haulm.forecast.inputs import Setting
from haulm.forecast.supply import forecast
from haulm.horticulture.sowing_windows import SowingRules, sowable
from haulm.horticulture.winter import Shelter
from support.winters import BARE, IN_TUNNEL, place, sown

TODAY = date(2026, 8, 10)
RULES = SowingRules(direct_until=(6, 30), last_frost_p50=(4, 25), last_frost_p90=(5, 10), first_frost_p50=(10, 15))
"""A farm that drills nothing from July on."""
SEASONS = 400
NEW_YEAR = date(2027, 1, 1)


def plan(kind: str, where: str, shelter: Shelter, weeks: tuple[date, date]) -> BackPlan:
    """When to drill 100 places of a kind for a hundred stems in some weeks."""
    latitude, climate = place(where)
    sowing = replace(sown(kind, shelter, on=None), plants=None, sown=100)
    made = forecast([sowing], climate, Setting(latitude, TODAY, seasons=SEASONS))
    days = [
        day
        for day in sow_days(TODAY, weeks[1])
        if sowable(sowing.method, day, life_cycle=LifeCycle.HARDY_ANNUAL, latitude_deg=latitude, rules=RULES)
    ]
    assert {day.year for day in days} == {2026, 2027}
    return back_plan(made, sowing, Target(*weeks, 60), days)


def test_early_stems_are_planned_from_an_autumn_sowing_where_it_lives() -> None:
    found = plan("larkspur", "north_yorkshire", IN_TUNNEL, (date(2027, 5, 3), date(2027, 6, 20)))
    assert found.best is not None and found.earliest is not None
    assert found.best.day < NEW_YEAR
    assert found.best.confidence > 0.8
    spring = max(tried.confidence for tried in found.tried if tried.day >= NEW_YEAR)
    assert spring < 0.5


def test_no_autumn_sowing_is_sure_where_the_winter_kills_it() -> None:
    weeks = (date(2027, 5, 20), date(2027, 8, 20))
    inland = plan("snapdragon", "des_moines", BARE, weeks)
    by_the_sea = plan("snapdragon", "north_yorkshire", BARE, weeks)

    def surest_autumn(found: BackPlan) -> float:
        return max(tried.confidence for tried in found.tried if tried.day < NEW_YEAR)

    assert surest_autumn(inland) < 0.75
    assert inland.earliest is None or inland.earliest.day >= NEW_YEAR
    assert surest_autumn(by_the_sea) > surest_autumn(inland) + 0.1
