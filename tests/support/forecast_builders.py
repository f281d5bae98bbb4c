"""Builders for tests of horticulture and forecast: a crop, a sowing, a made-up climate, a setting."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from haulm.farm.varieties import Crop, LengthShare
from haulm.farm.words import BatchStatus, Form, Habit, LifeCycle, Method, Role
from haulm.forecast.inputs import Climate, DailySeries, Evidence, MonthlyNormals, Setting, Sowing

COOL_MARITIME = MonthlyNormals(
    (0.8, 0.7, 2.0, 3.4, 6.2, 9.0, 11.1, 11.0, 9.1, 6.4, 3.4, 1.2),
    (6.5, 7.2, 9.6, 12.2, 15.3, 18.0, 20.3, 20.0, 17.3, 13.3, 9.3, 6.8),
)
TODAY = date(2027, 1, 10)
GRASS = Crop(
    key="grass",
    name="Annual grass",
    life_cycle=LifeCycle.HARDY_ANNUAL,
    role=Role.MOVEMENT,
    colour=None,
    habit=Habit.FLUSH,
    weeks_to_flower=12.5,
    harvest_weeks=5.0,
    stems_per_plant=6.0,
    germination_share=0.8,
    germination_days=10.0,
    seeds_per_place=5,
    weeks_to_plant_out=6.0,
    harden_days=7,
    kill_c=-4.0,
    spacing_cm=20.0,
    row_cm=20.0,
    hold_days=5,
    stand_days=7,
    dry_days=14,
    dried_keep_days=None,
    lengths=(LengthShare(30, 0.3), LengthShare(40, 0.5), LengthShare(50, 0.2)),
    stages=(),
    bunch_stems=10,
    price_minor=None,
    dried_price_minor=None,
    food_use=False,
    caution=None,
    base_c=5.0,
    origin={},
)


def crop(**changes: object) -> Crop:
    """The annual grass, with what matters changed."""
    return replace(GRASS, **changes)  # type: ignore[arg-type]


def sowing(
    sow: str | None = "2027-04-15", *, key: str = "b1", seen: Evidence | None = None, **changes: object
) -> Sowing:
    """A planned direct sowing of 200 places for 120 plants, with what matters changed."""
    plain = Sowing(
        key=key,
        variety="grass",
        crop=GRASS,
        method=Method.DIRECT,
        form=Form.FRESH,
        status=BatchStatus.PLANNED,
        sow_date=None if sow is None else date.fromisoformat(sow),
        sown=200,
        plants=120,
        evidence=seen or Evidence(),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def setting(**changes: object) -> Setting:
    """52 degrees north, early January, 200 seasons."""
    return replace(Setting(52.0, TODAY, seasons=200, seed=7), **changes)  # type: ignore[arg-type]


def monthly_climate(**changes: object) -> Climate:
    """A cool maritime place known by its monthly means."""
    return replace(Climate(normals=COOL_MARITIME), **changes)  # type: ignore[arg-type]


def invented_series(years: int, *, first_year: int = 2005, warmer_c: float = 0.0, seed: int = 3) -> DailySeries:
    """A daily series of a cool maritime place, made up: a yearly wave, slow and fast noise."""
    dates = np.arange(np.datetime64(f"{first_year}-01-01"), np.datetime64(f"{first_year + years}-01-01"))
    rng = np.random.default_rng(seed)
    day = (dates - dates.astype("datetime64[Y]")).astype(float)
    mean = 9.8 + warmer_c - 6.8 * np.cos(2 * np.pi * (day - 20) / 365.25)
    noise = np.convolve(rng.normal(0, 1.6, len(dates) + 4), np.ones(5) / np.sqrt(5), "valid")
    half_range = np.maximum(1.0, 4.2 + rng.normal(0, 1, len(dates)))
    return DailySeries(dates, mean + noise - half_range, mean + noise + half_range)


def yearly_climate(years: int = 12, **changes: object) -> Climate:
    """A cool maritime place known by an invented daily series."""
    return Climate(daily=invented_series(years, **changes))  # type: ignore[arg-type]
