"""The forecast against what growers in a cool maritime place count on (common practice)."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from haulm.farm.words import BatchStatus, Method
from haulm.forecast.inputs import Climate
from haulm.forecast.supply import forecast
from support.forecast_builders import monthly_climate, setting, sowing, yearly_climate

PLACES = {"monthly means": monthly_climate(), "daily years": yearly_climate()}


def first_days(climate: Climate, sow: str, method: Method, levels: tuple[int, ...]) -> list[date]:
    """Percentiles of the first stem's date, 52 degrees north."""
    made = forecast([sowing(sow, method=method, status=BatchStatus.SOWN)], climate, setting(seasons=1000))
    assert made.seasons is not None
    days = np.percentile(made.latents[0].first_day, levels, method="nearest")
    return [date.fromordinal(made.seasons.span.first.toordinal() + int(day)) for day in days]


@pytest.mark.parametrize("place", PLACES)
def test_a_mid_february_sowing_raised_warm_and_grown_cool_flowers_from_mid_june_to_mid_july(place: str) -> None:
    """Common practice: heat for germination does not hasten flowering, and never brings it into May."""
    early, middle, late = first_days(PLACES[place], "2027-02-15", Method.HEATED, (5, 50, 95))
    assert early >= date(2027, 6, 1)
    assert date(2027, 6, 10) <= middle <= date(2027, 7, 10)
    assert late <= date(2027, 7, 20)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("sow", ["2027-04-15", "2027-05-01", "2027-05-15", "2027-06-01", "2027-06-15"])
def test_twelve_to_thirteen_weeks_hold_for_sowings_from_april_to_june(place: str, sow: str) -> None:
    """Common practice for hardy annual grasses: within what is likely, and within three weeks at even odds.

    Published dates of other places have hardy annuals follow warmth, so midsummer sowings are the quickest.
    """
    early, middle, late = (
        (day - date.fromisoformat(sow)).days / 7 for day in first_days(PLACES[place], sow, Method.DIRECT, (10, 50, 90))
    )
    assert early <= 13
    assert late >= 12
    assert abs(middle - 12.5) <= 3


@pytest.mark.parametrize("place", PLACES)
def test_a_hardy_annual_sown_in_autumn_flowers_in_late_spring(place: str) -> None:
    """Common practice: hardy annuals sown in September flower some weeks before those sown in spring."""
    early, middle, _ = first_days(PLACES[place], "2026-09-10", Method.DIRECT, (5, 50, 95))
    assert early >= date(2027, 4, 20)
    assert date(2027, 5, 10) <= middle <= date(2027, 6, 20)
