"""Back-planning: days to sow for a week, what is refused, and the last sowing of the year."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import LineClass, Method
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.plan_back import BackPlanAsked, plan_back
from support.known_farm import growing_farm

ASKED = BackPlanAsked(Product("lagurus"), Week.parse("2027-W40"), Method.DIRECT, 40, 0.5)


@pytest.fixture
def farm(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """A farm with weather, on 14 June."""
    return open_desk(growing_farm())


def test_more_stems_never_take_fewer_places_and_every_day_lies_between_today_and_the_week(farm: Desk) -> None:
    few, many = (plan_back(farm, replace(ASKED, stems=stems)).plan for stems in (40, 400))

    assert few.places_needed is not None and many.places_needed is not None
    assert few.places_needed <= many.places_needed
    assert all(farm.today() <= one.day <= ASKED.week.monday for one in few.tried if one.confidence > 0)


def test_the_advised_last_sowing_is_the_more_careful_of_the_two(farm: Desk) -> None:
    last = plan_back(farm, ASKED).last

    days = [day for day in (last.rule, last.model) if day is not None]
    assert days and last.advised == min(days)


def test_a_level_nobody_said_is_that_of_standing_orders(farm: Desk) -> None:
    assert plan_back(farm, replace(ASKED, confidence=None)).level == farm.store.farm().site.level_of(LineClass.STANDING)


@pytest.mark.parametrize(
    ("changes", "refusal"),
    [
        ({"product": Product("rose")}, NotFound),
        ({"week": Week.parse("2027-W23")}, NotAccepted),
        ({"week": Week.parse("2999-W23")}, NotAccepted),
        ({"method": Method.TUBER}, NotAccepted),
        ({"method": Method.ESTABLISHED}, NotAccepted),
    ],
)
def test_what_cannot_be_planned_is_refused(farm: Desk, changes: dict[str, object], refusal: type[Exception]) -> None:
    with pytest.raises(refusal):
        plan_back(farm, replace(ASKED, **changes))  # type: ignore[arg-type]
