"""Re-sowing: when to look, how much is missing, and until when a new sowing keeps what was promised."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.advice.resow import PromisedStems, check_day, places_short, resow
from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.inputs import DateLevels, Evidence
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import crop, monthly_climate, setting, sowing

COSMOS = crop(life_cycle=LifeCycle.HALF_HARDY_ANNUAL, kill_c=-1.0, base_c=8.0, weeks_to_flower=11.0)
TRAY = sowing("2027-04-20", crop=COSMOS, method=Method.COVER, status=BatchStatus.SOWN, plants=120)
TODAY = date(2027, 5, 10)


def plan() -> Forecast:
    frost = DateLevels((9, 25), (10, 10), (10, 25))
    return forecast([TRAY], monthly_climate(first_autumn_frost=frost), setting(today=TODAY, seasons=100))


PLAN = plan()


def test_a_tray_is_looked_at_when_nine_in_ten_have_come_up() -> None:
    """Ten days on average, four apart: the 90th percentile is 15 to 16 days."""
    assert check_day(TRAY) - date(2027, 4, 20) in (timedelta(days=15), timedelta(days=16))


def test_a_heated_tray_is_looked_at_sooner() -> None:
    heated = sowing("2027-04-20", crop=COSMOS, method=Method.HEATED)

    assert check_day(heated) < check_day(TRAY)


def test_places_short_by_hand() -> None:
    """120 plants need 133.3 places up; 61 are up; 72.3 are lacking; at 80 % that is 91 places."""
    thin = sowing(crop=COSMOS, plants=120, seen=Evidence(germinated_so_far=61))

    assert places_short(thin) == 91
    assert places_short(sowing(crop=COSMOS, plants=120, seen=Evidence(germinated_final=150))) == 0


def test_an_early_promise_asks_for_an_earlier_new_sowing() -> None:
    found = resow(
        PLAN,
        TRAY,
        [PromisedStems("early", date(2027, 8, 20), 40), PromisedStems("late", date(2027, 9, 15), 40)],
        today=TODAY,
        level=0.8,
    )

    early, late = found.by_line["early"], found.by_line["late"]
    assert early is not None and late is not None
    assert early < late
    assert found.by == early


def test_too_late_for_one_promise_is_said_and_the_other_is_still_saved() -> None:
    promised = [PromisedStems("soon", date(2027, 6, 1), 40), PromisedStems("late", date(2027, 9, 10), 40)]
    found = resow(PLAN, TRAY, promised, today=TODAY, level=0.8)

    assert found.by_line["soon"] is None
    assert found.by == found.by_line["late"] is not None
    assert not found.is_too_late


def test_too_late_for_everything_promised_is_said() -> None:
    assert resow(PLAN, TRAY, [PromisedStems("soon", date(2027, 6, 1), 40)], today=TODAY, level=0.8).is_too_late


@settings(max_examples=12, deadline=None)
@given(st.integers(20, 160), st.sampled_from([0.5, 0.8, 0.9]))
def test_no_date_lies_after_the_last_useful_sowing_or_before_today(ahead: int, level: float) -> None:
    needed = TODAY + timedelta(days=ahead)
    found = resow(PLAN, TRAY, [PromisedStems("line", needed, 40)], today=TODAY, level=level)

    by = found.by_line["line"]
    assert by is None or TODAY <= by <= needed
    assert by is None or found.last_useful is None or by <= found.last_useful


def test_nothing_promised_leaves_the_last_useful_sowing() -> None:
    found = resow(PLAN, TRAY, [], today=TODAY, level=0.8)

    assert found.by == found.last_useful is not None
