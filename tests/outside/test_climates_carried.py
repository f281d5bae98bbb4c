"""Checked against published months and daily series: what is proposed for a place, and what memory is worth.

Each carried climate is left out in turn and proposed for from the others, so the truth is never among what is asked.
Sources: of the climates, in `climates.csv`; of the tables below, beside them. The daily series are those of the Python
package aquacrop 3.1.0 (see `support/open_weather.py`).
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from haulm.crop_library.library import carried_climates
from haulm.horticulture.nearest_climate import KnownClimate, ProposedClimate, nearest_climate
from haulm.jobs.farm.propose_place import frosts_of
from support.open_weather import PLACES, series

Months = tuple[tuple[float, ...], tuple[float, ...]]
TODAY = date(2027, 1, 1)

BEFORE_OPENING: dict[str, Months] = {
    "braemar": (
        (-1.6, -1.6, -0.4, 1.4, 4.0, 7.2, 9.1, 8.6, 6.4, 3.6, 0.6, -1.8),
        (4.8, 5.4, 7.6, 10.9, 14.3, 16.8, 18.8, 18.1, 15.5, 11.3, 7.4, 4.8),
    ),
    "queenstown": (
        (9.8, 9.4, 7.2, 4.2, 2.3, -0.3, -1.7, 0.2, 2.5, 4.3, 5.9, 8.4),
        (21.8, 21.8, 18.8, 15.0, 11.7, 8.4, 7.8, 9.8, 12.9, 15.3, 17.1, 19.7),
    ),
    "launceston": (
        (10.8, 10.8, 8.9, 6.4, 4.1, 2.3, 1.8, 2.6, 4.0, 5.4, 7.4, 9.1),
        (24.0, 23.9, 21.6, 17.8, 14.4, 11.7, 11.1, 12.3, 14.3, 16.9, 19.4, 21.7),
    ),
}
"""Written down from memory before their sources were opened (Launceston for its airport, 170 m up)."""
OPENED_SINCE: dict[str, Months] = {
    "toronto": (
        (-9, -9, -5, 2, 7, 13, 16, 15, 11, 5, 0, -6),
        (-2, 0, 5, 12, 19, 24, 27, 26, 22, 14, 8, 1),
    )
}
"""Opened after they were written down from memory: climatestotravel.com, Toronto Pearson airport, whole degrees."""


def without(key: str) -> tuple[KnownClimate, ProposedClimate]:
    """A carried climate, and what the others propose for its spot."""
    known = {one.key: one for one in carried_climates()}
    truth = known.pop(key)
    return truth, nearest_climate(truth.spot, known.values())


def off(found: Months, truth: Months) -> np.ndarray:
    """How far each of the 24 figures is off [K]."""
    return np.abs(np.array(found) - np.array(truth)).ravel()


def test_sixty_climates_are_carried_and_thirty_of_them_were_opened() -> None:
    found = carried_climates()
    assert len(found) >= 60
    assert sum(one.is_opened for one in found) >= 30
    assert sum(one.spot.latitude_deg < 0 for one in found) >= 15
    assert all(one.source == "from memory, to about 1 deg C" for one in found if not one.is_opened)


def test_summers_are_on_their_side_of_the_year() -> None:
    for one in carried_climates():
        assert (one.max_c[6] > one.max_c[0]) is (one.spot.latitude_deg > 0), one.key


def test_it_says_how_far_off_it_may_be_eight_times_in_ten() -> None:
    within: list[bool] = []
    for one in carried_climates():
        truth, found = without(one.key)
        within += list(off((found.min_c, found.max_c), (truth.min_c, truth.max_c)) <= found.off_c)
    assert 0.76 <= np.mean(within) <= 0.88


@pytest.mark.parametrize(
    ("key", "by", "mean_off"),
    [
        ("edinburgh", "northumberland", 0.8),  # 56 N by the sea
        ("aarhus", "vaxjo", 1.0),  # 56 N by another sea
        ("moscow", "riga", 2.0),  # 56 N far inland
        ("vaxjo", "aarhus", 1.0),  # 57 N inland
        ("orange_nsw", "armidale", 2.6),  # southern hills, from warmer ones nearer the equator
        ("queenstown", "christchurch", 1.1),  # southern hills, from the plain below
    ],
)
def test_the_empty_farm_by_the_sea_inland_and_in_southern_hills_gets_months_near_the_real_ones(
    key: str, by: str, mean_off: float
) -> None:
    truth, found = without(key)
    assert found.of.key == by
    assert off((found.min_c, found.max_c), (truth.min_c, truth.max_c)).mean() <= mean_off


def test_memory_is_worth_about_a_degree_beside_what_was_opened() -> None:
    known = {one.key: (one.min_c, one.max_c) for one in carried_climates()}
    pairs = [
        *((known[key], months) for key, months in BEFORE_OPENING.items()),
        *((known[key], months) for key, months in OPENED_SINCE.items()),
    ]
    found = np.concatenate([off(one, other) for one, other in pairs])
    assert found.mean() <= 1.0
    assert np.quantile(found, 0.9) <= 2.2


def test_what_is_from_memory_agrees_with_what_opened_neighbours_would_propose() -> None:
    opened = [one for one in carried_climates() if one.is_opened]
    near = [
        (one, nearest_climate(one.spot, opened))
        for one in carried_climates()
        if not one.is_opened and nearest_climate(one.spot, opened).apart_km < 400
    ]
    assert len(near) >= 8
    for one, found in near:
        assert off((found.min_c, found.max_c), (one.min_c, one.max_c)).mean() <= 3.3, one.key


@pytest.mark.parametrize("key", ["brussels", "cambridge", "north_yorkshire", "champion"])
def test_frost_days_worked_out_from_months_are_those_of_the_daily_series(key: str) -> None:
    daily, place = series(key), PLACES[key]
    month = daily.dates.astype("datetime64[M]").astype(int) % 12
    months = tuple(
        tuple(float(np.nanmean(values[month == number])) for number in range(12))
        for values in (daily.min_c, daily.max_c)
    )
    last, first = frosts_of(place.latitude_deg, (months[0], months[1]), TODAY)
    real_last, real_first = real_frosts(daily.dates, daily.min_c)
    assert last is not None and first is not None
    assert day_number(last.p50) == pytest.approx(real_last, abs=12)
    assert day_number(first.p50) == pytest.approx(real_first, abs=12)


def real_frosts(dates: np.ndarray, min_c: np.ndarray) -> tuple[float, float]:
    """The median last frost of spring and first of autumn, as days of the year, counted in the series."""
    years = dates.astype("datetime64[Y]")
    days = (dates - years.astype("datetime64[D]")).astype(int) + 1
    last, first = [], []
    for year in np.unique(years):
        here = years == year
        frosty = days[here & (min_c <= 0)]
        last += [max(frosty[frosty < 182])] if (frosty < 182).any() else []
        first += [min(frosty[frosty >= 182])] if (frosty >= 182).any() else []
    return float(np.median(last)), float(np.median(first))


def day_number(month_day: tuple[int, int]) -> int:
    return date(2027, *month_day).timetuple().tm_yday
