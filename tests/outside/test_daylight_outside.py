"""Daylight against an ephemeris and against published tables."""

from __future__ import annotations

import ephem
import numpy as np
import pytest

from haulm.horticulture.daylight import daylight_hours, fao56_daylight_hours

MIDDLES = dict(zip(range(1, 13), (15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349), strict=True))
TABLE = {
    20: {1: 10.9, 6: 13.2, 12: 10.8},
    30: {1: 10.3, 3: 11.8, 6: 13.9, 9: 12.2, 12: 10.1},
    40: dict(enumerate((9.5, 10.5, 11.7, 13.1, 14.2, 14.8, 14.6, 13.6, 12.2, 10.9, 9.7, 9.2), start=1)),
    50: dict(enumerate((8.3, 9.8, 11.6, 13.5, 15.2, 16.1, 15.7, 14.3, 12.3, 10.4, 8.7, 7.9), start=1)),
    60: {1: 6.4, 3: 11.4, 6: 18.4, 9: 12.5, 12: 5.6},
    66: {1: 3.9, 6: 22.0, 12: 1.9},
}


def ephemeris_hours(day: np.datetime64, latitude: float) -> float:
    """Sunrise to sunset of PyEphem: upper limb, standard refraction of 34 arc minutes, sea level."""
    place = ephem.Observer()
    place.lat, place.lon, place.elevation, place.pressure, place.horizon = str(latitude), "0", 0, 0, "-0:34"
    place.date = f"{day} 12:00:00"
    sun = ephem.Sun()
    return float((place.next_setting(sun) - place.previous_rising(sun)) * 24)


@pytest.mark.parametrize("latitude", [-60, -43.5, -20, 0, 35, 44.76, 52.2, 55.9, 60])
def test_daylight_is_within_half_a_minute_of_an_ephemeris(latitude: float) -> None:
    """Checked against PyEphem 4.2 (VSOP87)."""
    days = np.concatenate(
        [
            np.arange(np.datetime64(f"{year}-01-03"), np.datetime64(f"{year + 1}-01-01"), 17)
            for year in (2024, 2027, 2040)
        ]
    )
    ours = daylight_hours(days, latitude_deg=latitude)
    theirs = np.array([ephemeris_hours(day, latitude) for day in days])
    assert np.abs(ours - theirs).max() * 60 < 0.5


@pytest.mark.parametrize(
    ("latitude", "back", "gone"),
    [
        (40, "2025-01-27", "2025-11-15"),
        (50.85, "2025-02-14", "2025-10-27"),
        (55.9, "2025-02-20", "2025-10-22"),
        (44.76, "2025-02-05", "2025-11-05"),
    ],
)
def test_the_ten_hour_dates_are_those_of_the_solar_position_algorithm(latitude: float, back: str, gone: str) -> None:
    """Checked against the NREL solar position algorithm (pvlib 0.16)."""
    days = np.arange(np.datetime64("2025-01-01"), np.datetime64("2026-01-01"))
    lit = daylight_hours(days, latitude_deg=latitude) >= 10
    assert str(days[lit][0]) == back
    assert str(days[days > days[lit][0]][~lit[days > days[lit][0]]][0]) == gone


def test_the_tables_of_mean_daylight_come_back() -> None:
    """Checked against FAO Irrigation and Drainage Paper 56, Annex 2, Table 2.7."""
    for latitude, months in TABLE.items():
        for month, expected in months.items():
            found = fao56_daylight_hours(np.array([float(MIDDLES[month])]), latitude_deg=latitude)[0]
            assert found == pytest.approx(expected, abs=0.1), (latitude, month)
    assert sum(len(months) for months in TABLE.values()) == 40


@pytest.mark.parametrize(
    ("day", "latitude", "expected", "tolerance"),
    [(246, -20, 11.66559, 5e-4), (166, 70, 24.0, 0), (349, 70, 0.0, 0), (15, 0, 12.0, 0.05), (196, 0, 12.0, 0.05)],
)
def test_worked_examples_of_daylight(day: int, latitude: float, expected: float, tolerance: float) -> None:
    """Checked against FAO-56 chapter 3 (example for 3 September, 20 S) and Table 2.7."""
    found = fao56_daylight_hours(np.array([float(day)]), latitude_deg=latitude)[0]
    assert found == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(("latitude", "gone", "back"), [(40, 311, 34), (50, 296, 49)])
def test_ten_hour_dates_by_the_centre_of_the_sun(latitude: float, gone: int, back: int) -> None:
    """Checked against FAO-56 equations 24, 25, 34 worked by hand, within a day."""
    lit = fao56_daylight_hours(np.arange(1.0, 366.0), latitude_deg=latitude) >= 10
    assert abs(int(np.argmax(lit)) + 1 - back) <= 1
    assert abs(366 - int(np.argmax(lit[::-1])) - gone) <= 1
