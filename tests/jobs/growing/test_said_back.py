"""What counting back has found, in words: sure, not sure, hopeless, out of season."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.farm.products import Product
from haulm.farm.weeks import Week, day_in_words
from haulm.farm.words import Method
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.plan_back import BackPlanAsked, plan_back
from haulm.jobs.growing.said_back import ready_in_words, said_back, way_of
from support.known_farm import growing_farm

DAY = date(2027, 10, 5)
ASKED = BackPlanAsked(Product("lagurus"), Week.of(DAY), Method.COVER, 40, 0.5, DAY)


@pytest.fixture
def farm(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """A farm with weather, on 14 June."""
    return open_desk(growing_farm())


def test_a_day_is_named_and_what_has_to_be_ready_lies_before_it(farm: Desk) -> None:
    found = plan_back(farm, ASKED)

    assert "40 stems for Tue 5 Oct 2027" in said_back(found)
    assert found.ready[1] < DAY and "become ready" in ready_in_words(found)


def test_the_places_of_a_day_are_enough_on_that_day(farm: Desk) -> None:
    found = plan_back(farm, replace(ASKED, stems=4000))
    assert found.plan.best is not None
    way = way_of(found, found.plan.best)

    assert way.places is not None and way.places * found.plan.best.sure_stems >= 4000 * found.plan.places
    assert "No day gives 4,000 stems" in said_back(found) and "would do" in said_back(found)


def test_the_days_out_of_the_tray_follow_each_other(farm: Desk) -> None:
    found = plan_back(farm, ASKED)
    assert found.plan.best is not None
    tray = way_of(found, found.plan.best).tray

    assert tray is not None
    days = [day for day in (found.plan.best.day, tray.up, tray.prick_out, tray.plant_out) if day is not None]
    assert days == sorted(days) and len(set(days)) == len(days)
    assert way_of(plan_back(farm, replace(ASKED, method=Method.DIRECT)), found.plan.best).tray is None


def test_where_no_day_is_in_season_that_is_said_with_the_way_of_sowing(farm: Desk) -> None:
    found = plan_back(farm, replace(ASKED, method=Method.PLUGS, week=Week.parse("2027-W51"), day=date(2027, 12, 21)))
    empty = replace(found, plan=replace(found.plan, earliest=None, latest=None, best=None, tried=()))

    assert said_back(empty) == (
        f"No day from today until {day_in_words(found.ready[1])} is in season"
        " to begin it as young plants that are bought."
    )
