"""One week of a kind in words: the figures of the picture, its lines, the sowings that carry it, its gap."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from haulm.errors import NotAccepted
from haulm.farm.weeks import Week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.see_kind import see_kind
from haulm.jobs.gaps.see_week import KindWeek, see_week
from haulm.jobs.growing.batch_forecast import forecast_of
from support.known_farm import growing_farm, known_farm


def week_of(desk: Desk, week: Week) -> KindWeek:
    kind = see_kind(desk, "lagurus")
    return see_week(kind, kind.row, desk.plan(), week)


@pytest.fixture
def grows(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """A farm that grows too little, on 14 June, with its sowing still to come."""
    files = growing_farm()
    return open_desk({**files, "batches.csv": files["batches.csv"].replace(b"2027-05-25", b"2027-06-20")})


def test_a_short_week_names_its_lines_its_gap_and_what_is_missing(grows: Desk) -> None:
    found = week_of(grows, Week(2027, 37))

    assert found.figures is not None and found.figures.short
    assert [line.stems for line in found.lines] == [40] and found.gap is not None
    assert "40 are promised." in found.sentences
    assert any("short on average" in sentence for sentence in found.sentences)
    assert found.day in (line.due for line in found.lines) or found.day >= date(2027, 9, 13)


def test_the_sowings_that_carry_a_week_are_those_whose_forecast_says_so(grows: Desk) -> None:
    plan = grows.plan()
    (key,) = (batch.key for batch in plan.farm.batches if batch.variety == "lagurus")
    forecast = forecast_of(plan, key)
    assert forecast is not None
    best = max(forecast.weeks, key=lambda one: one.stems[2])

    (carrier,) = week_of(grows, best.week).carriers
    assert (carrier.batch.key, carrier.stems) == (key, best.stems)


def test_a_free_week_says_the_stems_of_the_picture(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    desk = open_desk(known_farm())
    found = week_of(desk, Week(2027, 24))

    assert found.figures is not None and found.figures.free
    assert f"{found.figures.free} are free to promise." in found.sentences
    assert not found.carriers and found.gap is None and found.before is None and found.after is not None


def test_a_week_beyond_the_picture_is_refused(grows: Desk) -> None:
    for week in (Week(2027, 23), Week(2029, 1)):
        with pytest.raises(NotAccepted):
            week_of(grows, week)
