"""Back-planning: the earliest, latest and best sowing for a week, and the last sowing of the year."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.back_plan import Starts, Target, back_plan, last_sowing, sow_days, sown_on
from haulm.forecast.inputs import Climate, ClimateMissing, DateLevels, Evidence, Setting
from haulm.forecast.latent import latents
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import GRASS, TODAY, crop, monthly_climate, setting, sowing, yearly_climate

FROST = DateLevels((9, 20), (10, 5), (10, 20))
COSMOS = crop(life_cycle=LifeCycle.HALF_HARDY_ANNUAL, kill_c=0.0, base_c=8.0, weeks_to_flower=14.0)


def made(climate: Climate | None = None, **changes: object) -> Forecast:
    return forecast([sowing()], climate or monthly_climate(), setting(**changes))


def week(first: date, stems: int, level: float = 0.8) -> Target:
    return Target(first, first + timedelta(days=6), stems, level)


SPRING = sow_days(date(2027, 3, 1), date(2027, 7, 1))


def test_a_modest_target_has_an_earliest_a_best_and_a_latest_sowing_in_that_order() -> None:
    found = back_plan(made(), sowing(), week(date(2027, 7, 26), 15), SPRING)

    assert found.earliest is not None and found.latest is not None and found.best is not None
    assert found.earliest.day <= found.best.day <= found.latest.day
    assert found.best.confidence >= 0.8


def test_a_later_week_wants_a_later_sowing() -> None:
    plan = made()
    best = [back_plan(plan, sowing(), week(date(2027, 7, day), 15), SPRING).best for day in (5, 19)]

    assert best[0] is not None and best[1] is not None
    assert best[0].day < best[1].day


def test_where_no_date_is_sure_enough_the_best_is_told_with_the_places_that_would_do() -> None:
    plan, target = made(), week(date(2027, 8, 9), 200)
    found = back_plan(plan, sowing(), target, SPRING)

    assert (found.earliest, found.latest) == (None, None)
    assert found.best is not None and 0 <= found.best.confidence < 0.8
    assert found.places_needed is not None and found.places_needed > found.places and found.needed_day is not None
    more = sowing(sown=found.places_needed, plants=round(120 * found.places_needed / 200) + 1)
    again = back_plan(plan, more, target, [found.needed_day])
    assert again.best is not None and again.best.confidence >= 0.79


def test_a_week_in_deep_winter_is_answered_and_not_with_silence() -> None:
    found = back_plan(made(), sowing(), week(date(2027, 12, 20), 10), SPRING)

    assert found.best is not None and found.best.confidence < 0.2
    assert len(found.tried) == len(SPRING)


def test_more_stems_wanted_are_never_surer() -> None:
    plan = made()
    few, many = (back_plan(plan, sowing(), week(date(2027, 7, 26), stems), SPRING) for stems in (10, 40))

    assert all(a.confidence >= b.confidence for a, b in zip(few.tried, many.tried, strict=True))


@pytest.mark.parametrize("method", [Method.DIRECT, Method.COVER, Method.HEATED])
def test_a_later_sowing_never_flowers_earlier_by_chance(method: Method) -> None:
    plan = made(yearly_climate())
    assert plan.seasons is not None
    days = [latents(sown_on(sowing(method=method), day), plan.seasons)[0].first_day for day in SPRING]

    assert all(np.all(a <= b) for a, b in itertools.pairwise(days))


def test_without_a_climate_nothing_can_be_planned() -> None:
    with pytest.raises(ClimateMissing):
        back_plan(Forecast(Setting(52.0, TODAY), None, (), ()), sowing(), week(date(2027, 8, 2), 10), SPRING)


class TestLastSowingOfTheYear:
    def test_the_plain_rule_counts_back_from_the_usual_first_frost(self) -> None:
        """5 October less 14 weeks is 29 June (calendar); less 14 days of cutting, 15 June."""
        plan = made(monthly_climate(first_autumn_frost=FROST))
        batch = sowing(crop=COSMOS)

        assert last_sowing(Starts(plan, batch), SPRING, level=0.8, cutting_days=0).rule == date(2027, 6, 29)
        assert last_sowing(Starts(plan, batch), SPRING, level=0.8).rule == date(2027, 6, 15)

    def test_the_more_careful_of_rule_and_forecast_is_advised(self) -> None:
        found = last_sowing(
            Starts(made(monthly_climate(first_autumn_frost=FROST)), sowing(crop=COSMOS)), SPRING, level=0.8
        )

        assert found.model is not None and found.rule is not None
        assert found.advised == min(found.model, found.rule)

    def test_an_earlier_frost_never_allows_a_later_sowing(self) -> None:
        early = DateLevels((8, 25), (9, 10), (9, 25))
        late, soon = (
            last_sowing(
                Starts(made(monthly_climate(first_autumn_frost=levels)), sowing(crop=COSMOS)), SPRING, level=0.8
            )
            for levels in (FROST, early)
        )

        assert late.advised is not None and soon.advised is not None
        assert soon.advised < late.advised
        assert soon.model is not None and late.model is not None and soon.model <= late.model

    def test_more_cutting_days_never_allow_a_later_sowing(self) -> None:
        plan = made(monthly_climate(first_autumn_frost=FROST))
        short, long = (
            last_sowing(Starts(plan, sowing(crop=COSMOS)), SPRING, level=0.8, cutting_days=days) for days in (7, 28)
        )

        assert short.model is not None and long.model is not None
        assert long.model <= short.model

    def test_a_sowing_that_flowers_only_next_year_is_not_of_this_year(self) -> None:
        autumn = sow_days(date(2027, 9, 1), date(2027, 12, 1))

        assert last_sowing(Starts(made(yearly_climate()), sowing(crop=GRASS)), autumn, level=0.8).model is None


@pytest.mark.parametrize("told", ["first_cut", "not_yet"])
@pytest.mark.parametrize("tried", ["seen", "stranger"])
def test_what_was_tried_before_a_record_is_tried_anew_after_it(told: str, tried: str) -> None:
    later = {"today": date(2027, 9, 20), "seasons": 400}
    kinds = {"seen": GRASS, "stranger": COSMOS}
    before = [sowing(key=key, variety=key, crop=kind, status=BatchStatus.PLANTED) for key, kind in kinds.items()]
    recorded = Evidence(**{told: date(2027, 7, 28)})
    after = [replace(one, evidence=recorded) if one.key == "seen" else one for one in before]
    one, day = next(one for one in before if one.key == tried), date(2027, 9, 24)
    lived = forecast(before, monthly_climate(), setting(**later))
    first = Starts(lived, one).on(day)
    fresh = Starts(forecast(after, monthly_climate(), setting(**later)), one).on(day)
    lived = lived.with_sowings(after)
    again = Starts(lived, one).on(day)

    assert first is not None and again is not None and fresh is not None
    assert [days.tolist() for days in again] == [days.tolist() for days in fresh]
    has_moved = [days.tolist() for days in again] != [days.tolist() for days in first]
    # Not yet in flower makes seasons weigh less; a first cut moves the days of its kind, and of no other.
    assert has_moved == ((told, tried) == ("first_cut", "seen"))
