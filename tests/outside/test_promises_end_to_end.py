"""Promises end to end on farms of our own: what is said to be 80 % sure is kept about four times in five.

The truth is written apart from the forecast and learns what a kind needs elsewhere. One farm stands in each climate.
The whole table: python tests/benchmarks/promises_end_to_end.py.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import sqrt

import numpy as np
import pytest

from haulm.crop_library.library import crop_for
from haulm.farm.varieties import Variety
from haulm.farm.words import Method
from support.first_year_farms import first_year
from support.promises_end_to_end import FarmLived, Job, kept_share, lived_through, worst_share, worst_twentieth
from support.scale import count
from support.true_development import CALENDAR, DAYLIGHT, STANDING, WARMTH, course
from support.true_seasons import Ground, Truth, harvests, usual_sizes
from support.true_weather import LANDS, Land, every_year, lived, told

LEVEL = 0.8
OWN, OFF = "own assumptions", "weeks and stems off"
SEASONS = count(20, 60)
PROMISES_A_SEASON = 4
"""So many promises of one season are worth as much as independent ones; the others share its weather and its luck."""


@cache
def farms(*, doubt: bool) -> tuple[FarmLived, ...]:
    """One in each climate."""
    return tuple(lived_through(Job(land, 1, doubt, SEASONS, 500, (OWN, OFF), levels=(LEVEL,))) for land in LANDS)


def test_under_its_own_assumptions_four_in_five_promises_of_80_percent_are_kept() -> None:
    found = [farm[OWN, LEVEL] for farm in farms(doubt=True)]

    trials = sum(one.kept.shape[1] for one in found) * PROMISES_A_SEASON
    assert np.mean([one.said for one in found]) == pytest.approx(LEVEL, abs=0.01)
    assert kept_share(found).share == pytest.approx(LEVEL, abs=3 * sqrt(LEVEL * (1 - LEVEL) / trials))
    assert worst_share(found).share < 0.15


def test_where_figures_are_off_and_taken_as_exact_far_fewer_are_kept() -> None:
    found = [farm[OFF, LEVEL] for farm in farms(doubt=False)]

    assert kept_share(found).share < kept_share(farm[OWN, LEVEL] for farm in farms(doubt=True)).share - 0.10
    assert worst_share(found).share > 0.25


def test_the_same_job_gives_the_same_figures() -> None:
    job = Job("ithaca", 0, doubt=False, true_seasons=5, forecast_seasons=50, rows=("mixed",), levels=(LEVEL,))
    one, other = (lived_through(job)["mixed", LEVEL] for _ in range(2))

    assert np.array_equal(one.kept, other.kept)
    assert one.kept.any() and not one.kept.all()
    assert one.stems == other.stems


def test_the_worst_twentieth_is_what_five_seasons_in_a_hundred_do_not_exceed() -> None:
    stems = np.arange(100)[::-1] * 3

    assert worst_twentieth(stems, np.full(100, 0.01)) == 12
    assert worst_twentieth(np.zeros(10, np.int64), np.full(10, 0.1)) == -1


def mean_first_day(kind: str, land: Land, start: tuple[int, int], driver: str = WARMTH) -> float:
    """The day on which a kind begins to flower after a start, the mean over years [d after the start]."""
    grown = course(
        kind, crop_for(Variety(kind, kind)), land, every_year(land), (driver, 1.0 if driver == WARMTH else 0.0)
    )
    at = land.index(start)
    return float(np.mean([np.argmax(row - row[at] >= 1) - at for row in grown.made]))


@pytest.mark.parametrize("driver", [WARMTH, DAYLIGHT, CALENDAR])
@pytest.mark.parametrize(
    ("kind", "land", "start"), [("cornflower", "cambridge", (5, 1)), ("zinnia", "ithaca", (5, 15))]
)
def test_the_stated_weeks_come_back_where_they_hold(kind: str, land: str, start: tuple[int, int], driver: str) -> None:
    weeks = crop_for(Variety(kind, kind)).weeks_to_flower

    assert mean_first_day(kind, LANDS[land], start, driver) == pytest.approx(7 * weeks, abs=2.5)


@pytest.mark.parametrize("kind", STANDING)
def test_a_plant_that_stands_flowers_on_its_date_in_england_and_on_others_elsewhere(kind: str) -> None:
    england, elsewhere = LANDS["cambridge"], LANDS["ithaca"]
    flowers = england.index(STANDING[kind].flowers) - england.index((3, 1))

    assert mean_first_day(kind, england, (3, 1)) == pytest.approx(flowers, abs=2.5)
    assert abs(mean_first_day(kind, elsewhere, (3, 1)) - flowers) > 2.5
    assert mean_first_day(kind, elsewhere, (3, 1), CALENDAR) == flowers


def test_by_warmth_a_zinnia_takes_weeks_longer_in_england_than_where_its_weeks_hold() -> None:
    assert (
        mean_first_day("zinnia", LANDS["cambridge"], (5, 15)) > mean_first_day("zinnia", LANDS["ithaca"], (5, 15)) + 14
    )


@pytest.mark.parametrize("land", [land for land in LANDS.values() if land.daily])
def test_no_farm_is_told_the_years_that_it_lives_through(land: Land) -> None:
    for turn in range(4):
        days = {(row.min_c, row.max_c) for row in told(land, turn).rows}
        years = lived(land, turn)
        part = slice(land.begins, land.begins + 365)
        hidden = {*zip(years.min_c[:, part].ravel().tolist(), years.max_c[:, part].ravel().tolist(), strict=True)}
        assert len(told(land, turn).rows) > 5000
        assert len(hidden - days) > 0.05 * len(hidden)


def test_truths_change_stems_as_they_say() -> None:
    ground = first_year(LANDS["seattle"], 0).ground
    usual = total(ground, Truth())

    assert total(ground, Truth(bad_share=1.0)) == pytest.approx(usual / 2, rel=0.03)
    assert total(ground, Truth(dead_share=1.0)) == pytest.approx(usual, rel=0.10)
    assert np.std(totals(ground, Truth(shared=2.5))) > 1.15 * np.std(totals(ground, Truth()))
    annuals = replace(ground, batches=tuple(one for one in ground.batches if one.method is Method.DIRECT))
    assert first_ready(annuals, Truth(dead_share=1.0)) > first_ready(annuals, Truth()) + 7


def test_usual_sizes_follow_the_range_in_print() -> None:
    assert usual_sizes("peony")[0] < usual_sizes("zinnia")[0] < usual_sizes("cornflower")[0]
    assert usual_sizes("sunflower_single")[1] == 0.15
    assert usual_sizes("larkspur")[1] == pytest.approx(0.62, abs=0.01)


def totals(ground: Ground, truth: Truth) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Stems of all products in each of some seasons."""
    return sum(stems.sum(axis=0) for stems in harvests(ground, truth, 200, 3).values())


def total(ground: Ground, truth: Truth) -> float:
    return float(totals(ground, truth).mean())


def first_ready(ground: Ground, truth: Truth) -> float:
    """The day before which a tenth of all stems is ready, the mean over seasons."""
    stems = sum(harvests(ground, truth, 200, 3).values()).mean(axis=1)
    return float(np.searchsorted(np.cumsum(stems), 0.1 * stems.sum()))
