"""The date of the first flower against weather that really was: past years forecast from the others.

Checked against: daily temperatures of six places (source in tests/support/open_weather.py), with the truth worked out
by its own route and its need learned elsewhere. The whole table: python tests/benchmarks/hindcast.py.
"""

from __future__ import annotations

from functools import cache

import pytest

from support.hindcast import KINDS, Case, bare_score, hindcast, left_out_years, pooled, score, told_score
from support.open_weather import PLACES
from support.scale import count


@cache
def cases() -> tuple[Case, ...]:
    """Every fourth year of every place, or every year in the long run."""
    every = count(4, 1)
    return tuple(case for place in PLACES.values() for case in hindcast(place, KINDS, left_out_years(place)[::every]))


def of_type(name: str) -> list[Case]:
    return [case for case in cases() if case.type == name]


def test_an_80_percent_interval_of_the_first_flower_holds_in_about_four_of_five_left_out_years() -> None:
    found = pooled(list(cases()))

    assert found.cases > 2000
    assert 0.76 <= found.covered_80 <= 0.86
    assert 0.42 <= found.covered_50 <= 0.58


@pytest.mark.parametrize("name", [kind.type for kind in KINDS])
def test_no_crop_type_is_far_from_four_in_five(name: str) -> None:
    assert 0.68 <= pooled(of_type(name)).covered_80 <= 0.88


@pytest.mark.parametrize("name", PLACES)
def test_no_place_is_far_from_four_in_five(name: str) -> None:
    found = [case for case in cases() if case.place == PLACES[name].name]

    assert 0.64 <= pooled(found).covered_80 <= 0.90


@pytest.mark.parametrize("truth", ["warmth", "half"])
def test_where_warmth_has_a_part_more_than_half_of_the_error_of_fixed_weeks_is_gone(truth: str) -> None:
    found = score(list(cases()), truth)

    assert found.skill > 0.5
    assert found.pinball_skill > 0.5


def test_where_the_calendar_is_all_what_is_lost_to_fixed_weeks_is_half_of_what_is_won_by_warmth() -> None:
    """Fixed weeks are then the truth itself; a forecast that carries the need from place to place can't be as good."""
    by_calendar, by_warmth = (score(list(cases()), truth) for truth in ("calendar", "warmth"))

    assert by_calendar.crps - by_calendar.fixed_error < (by_warmth.fixed_error - by_warmth.crps) / 2
    assert by_calendar.covered_80 > 0.55


@pytest.mark.parametrize("name", [kind.type for kind in KINDS])
def test_over_all_truths_every_crop_type_is_forecast_better_than_by_fixed_weeks(name: str) -> None:
    assert pooled(of_type(name)).pinball_skill > 0.2


def test_a_forecast_that_is_told_that_warmth_counts_takes_four_fifths_off_for_spring_sown_hardy_annuals() -> None:
    assert told_score(of_type("hardy annual")).skill > 0.75


def test_where_the_weather_alone_is_to_be_forecast_four_fifths_of_the_error_of_fixed_weeks_is_gone_for_annuals() -> (
    None
):
    annuals = [case for case in cases() if case.type.endswith("annual")]

    assert bare_score(annuals).skill >= 0.8
