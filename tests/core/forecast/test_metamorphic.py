"""Metamorphic laws: how the forecast must move when its input moves, whatever its figures.

Each is shown to fail when its cause is broken: see `test_broken_laws`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from haulm.farm.products import Product
from haulm.farm.words import BatchStatus, Habit, LifeCycle, Method
from haulm.forecast.inputs import Climate, DateLevels, Evidence, Sowing
from haulm.forecast.latent import latents
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import HALF_A_YEAR_DAYS
from haulm.forecast.season_draws import draw_seasons
from haulm.forecast.seasons import Seasons
from haulm.forecast.supply import Forecast, forecast
from haulm.forecast.weather import Basis, Span, Weather
from support.forecast_builders import TODAY, crop, invented_series, setting, sowing, yearly_climate

CLIMATE = yearly_climate()
GRASS = Product("grass")
DAYS = 420
METHODS = st.sampled_from([Method.HEATED, Method.COVER, Method.DIRECT, Method.PLUGS])
SOW_DAYS = st.integers(0, 120).map(lambda day: date(2027, 2, 20) + timedelta(days=day))
NO_FROST = crop(kill_c=-60.0)
FEW = settings(max_examples=12)


def made(*sowings: Sowing, climate: Climate = CLIMATE, **changes: object) -> Forecast:
    return forecast(sowings, climate, setting(**{"seasons": 60, **changes}))


def stems(found: Forecast, *, first: date = TODAY, days: int = DAYS) -> np.ndarray:
    """All length classes together, shape (days, seasons)."""
    pools = found.ready_stems(GRASS, first, days)
    return np.asarray(sum(pools.values(), np.zeros((days, found.setting.seasons), np.int32)))


def first_days(*sowings: Sowing, climate: Climate = CLIMATE) -> np.ndarray:
    return np.stack([latent.first_day.astype(int) for latent in made(*sowings, climate=climate).latents])


@FEW
@given(SOW_DAYS, st.integers(1, 40), METHODS)
def test_a_later_sowing_never_flowers_earlier_in_the_same_weather(day: date, later: int, method: Method) -> None:
    early, late = (first_days(sowing(str(day + timedelta(days=k)), method=method)) for k in (0, later))
    assert (late >= early).all()


@FEW
@given(SOW_DAYS, st.integers(2, 9), METHODS)
def test_so_many_times_the_places_give_so_many_times_the_stems(day: date, times: int, method: Method) -> None:
    once, more = (made(sowing(str(day), method=method, sown=200 * k, plants=120 * k)).latents[0] for k in (1, times))
    assert np.allclose(more.total, times * once.total, rtol=1e-5)


@FEW
@given(SOW_DAYS, st.sampled_from([Method.COVER, Method.DIRECT]))
def test_seed_of_which_none_came_up_gives_no_stems(day: date, method: Method) -> None:
    none_up = sowing(str(day), method=method, status=BatchStatus.SOWN, seen=Evidence(germinated_final=0))
    assert not stems(made(none_up)).any()
    assert not stems(made(sowing(str(day), method=method, crop=crop(germination_share=0.0)))).any()


@FEW
@given(SOW_DAYS, st.integers(60, 200))
def test_a_lost_batch_keeps_the_days_before_and_gives_nothing_from_that_day_on(day: date, age: int) -> None:
    lost_on = day + timedelta(days=age)
    row = (lost_on - TODAY).days
    lost, whole = (stems(made(sowing(str(day), seen=Evidence(lost_on=end)))) for end in (lost_on, None))
    assert not lost[row:].any()
    assert (lost[:row] == whole[:row]).all()


@FEW
@given(SOW_DAYS, st.floats(0.5, 4.0))
def test_a_warmer_spring_never_brings_the_first_stem_later(day: date, warmer: float) -> None:
    spring = invented_series(1, first_year=2027)
    part = spring.dates < np.datetime64("2027-07-01")
    usual = CLIMATE.daily
    assert usual is not None
    days = []
    for more in (0.0, warmer):
        both = [
            np.concatenate([old, new[part] + more])
            for old, new in zip((usual.min_c, usual.max_c), (spring.min_c, spring.max_c), strict=True)
        ]
        daily = replace(usual, dates=np.concatenate([usual.dates, spring.dates[part]]), min_c=both[0], max_c=both[1])
        batch = sowing(str(day), status=BatchStatus.SOWN)
        days.append(made(batch, climate=Climate(daily=daily), today=date(2027, 7, 1)).latents[0].first_day)
    assert (days[1] <= days[0]).all()


@FEW
@given(SOW_DAYS, st.integers(5, 60))
def test_an_earlier_killing_frost_never_gives_more_stems_and_sometimes_fewer(day: date, earlier: int) -> None:
    def frost(shift: int) -> DateLevels:
        days = [date(2027, 10, 20) + timedelta(days=spread - shift) for spread in (-15, 0, 15)]
        return DateLevels(*((day.month, day.day) for day in days))

    tender = sowing(
        str(day),
        crop=crop(kill_c=0.0, life_cycle=LifeCycle.TENDER_ANNUAL, habit=Habit.CUT_AND_COME_AGAIN, harvest_weeks=20.0),
    )
    late, early = (stems(made(tender, climate=replace(CLIMATE, first_autumn_frost=frost(k)))) for k in (0, earlier))
    assert (early <= late).all()
    assert early.sum() < late.sum()


@FEW
@given(st.lists(SOW_DAYS, min_size=2, max_size=4), METHODS)
def test_stems_of_batches_add_up(days: list[date], method: Method) -> None:
    batches = [sowing(str(day), key=f"b{place}", method=method) for place, day in enumerate(days)]
    assert (stems(made(*batches)) == sum(stems(made(batch)) for batch in batches)).all()


@FEW
@given(SOW_DAYS, st.floats(0.5, 6.0))
def test_more_weeks_to_flower_never_flower_earlier_and_somewhere_later(day: date, more: float) -> None:
    slow = crop(weeks_to_flower=12.5 + more)
    quick_days, slow_days = (first_days(sowing(str(day), crop=kind)) for kind in (crop(), slow))
    assert (slow_days >= quick_days).all()
    assert (slow_days > quick_days).any()


@FEW
@given(st.permutations(range(4)))
def test_the_order_of_batches_and_a_second_run_change_no_bit(order: list[int]) -> None:
    batches = [sowing(f"2027-0{place + 3}-10", key=f"b{place}") for place in range(4)]
    assert (stems(made(*(batches[place] for place in order))) == stems(made(*batches))).all()


@FEW
@given(SOW_DAYS, st.floats(0.5, 8.0))
def test_a_hardier_kind_never_has_fewer_stems_and_sometimes_more(day: date, hardier: float) -> None:
    plain = crop(kill_c=1.0, life_cycle=LifeCycle.HALF_HARDY_ANNUAL, habit=Habit.CUT_AND_COME_AGAIN, harvest_weeks=20.0)
    tender, hardy = (
        stems(made(sowing(str(day), crop=replace(plain, kill_c=level)))).sum(axis=0) for level in (1.0, 1.0 - hardier)
    )
    assert (hardy >= tender).all()
    assert hardy.sum() > tender.sum()


@FEW
@given(SOW_DAYS, st.sampled_from(Habit), st.integers(1, 60))
def test_weeks_sum_to_days_and_days_to_the_whole_harvest(day: date, habit: Habit, split: int) -> None:
    found = made(sowing(str(day), crop=replace(NO_FROST, habit=habit, lengths=())))
    daily = stems(found, days=700)
    whole = found.latents[0].total.astype(int)
    assert (daily.sum(axis=0) == whole).all()
    parts = stems(found, days=200 + split).sum(axis=0) + stems(
        found, first=TODAY + timedelta(days=200 + split), days=500 - split
    ).sum(axis=0)
    assert (parts == whole).all()


@FEW
@given(SOW_DAYS, st.sampled_from([0.03, 0.97]), METHODS)
def test_an_early_or_late_first_cut_moves_the_others_the_same_way(day: date, level: float, method: Method) -> None:
    batches = [
        sowing(
            str(day + timedelta(days=9 * place)),
            key=f"b{place}",
            variety=f"v{place}",
            method=method,
            status=BatchStatus.PLANTED,
            plant_out_date=day + timedelta(days=9 * place),
            crop=replace(NO_FROST),
        )
        for place in range(3)
    ]
    today = date(2027, 12, 1)
    before = made(*batches, seasons=1000, today=today)
    days = [quantiles(latent.first_day[None, :].astype(float), (level, 0.5)) for latent in before.latents]
    assert before.seasons is not None
    cut = before.seasons.span.first + timedelta(days=int(days[1][0, 0]))
    assume(cut <= today)  # a June sowing may stand over winter, and nobody has seen the coming spring
    after = before.with_sowings([batches[0], replace(batches[1], evidence=Evidence(first_cut=cut)), batches[2]])
    for place in (0, 2):
        # The mean, not the median: whole days make the median stand still where the shift is less than one.
        then = before.latents[place].first_day.astype(float) @ before.weights
        now = after.latents[place].first_day.astype(float) @ after.weights
        assert (now - then) * (1 if level > 0.5 else -1) > 0


@FEW
@given(st.lists(st.floats(0.05, 0.95), min_size=2, max_size=5, unique=True), st.integers(0, 9))
def test_the_surer_a_promise_the_fewer_its_stems(levels: list[float], seed: int) -> None:
    rng = np.random.default_rng(seed)
    weights = rng.random(60)
    week = stems(made(sowing()), first=date(2027, 7, 15), days=7).sum(axis=0)[None, :]
    sure = quantiles(week, tuple(sorted(1 - level for level in levels)), weights / weights.sum())[:, 0]
    assert (np.diff(sure) >= 0).all()


def both_hemispheres(*, daylight: bool) -> tuple[Seasons, Seasons]:
    """Seasons at 52 degrees north and, half a year later in the same weather, at 52 degrees south."""
    north = setting(today=TODAY, daylight=daylight, seasons=120)
    south = replace(north, latitude_deg=-52.0, today=TODAY + timedelta(days=HALF_A_YEAR_DAYS))
    spans = [Span.around(place.today, latitude_deg=place.latitude_deg) for place in (north, south)]
    shift = (spans[0].first - spans[1].first).days + HALF_A_YEAR_DAYS
    daily = invented_series(45, first_year=1980)
    years = [np.stack([values[365 * k : 365 * k + 1600] for k in range(40)]) for values in (daily.min_c, daily.max_c)]
    found = []
    for place, span, skip in ((north, spans[0], 20), (south, spans[1], 20 - shift)):
        low, high = (values[:, skip : skip + span.days].astype(np.float32) for values in years)
        found.append(draw_seasons(CLIMATE, Weather(low, high, low, high, Basis.YEARS), span, place))
    return found[0], found[1]


@pytest.mark.parametrize(("daylight", "tolerance"), [(False, 0), (True, 3)])
@pytest.mark.parametrize("method", [Method.DIRECT, Method.COVER, Method.HEATED])
@pytest.mark.parametrize("sow", ["2027-02-20", "2027-04-15", "2027-06-10"])
def test_half_a_year_later_in_the_south_flowers_half_a_year_later(
    daylight: bool, tolerance: int, method: Method, sow: str
) -> None:
    day = date.fromisoformat(sow)
    dates = []
    for seasons, start in zip(
        both_hemispheres(daylight=daylight), (day, day + timedelta(days=HALF_A_YEAR_DAYS)), strict=True
    ):
        latent = latents(sowing(str(start), method=method), seasons)[0]
        dates.append(latent.first_day.astype(int) - seasons.span.index(start))
    assert np.abs(dates[0] - dates[1]).max() <= tolerance
    assert np.ptp(dates[0]) > 5
