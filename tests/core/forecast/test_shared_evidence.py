"""Laws of evidence across batches: what is seen of one moves the others through the season they share."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.farm.words import BatchStatus, Habit
from haulm.forecast.dates_seen import date_log_shares
from haulm.forecast.inputs import Climate, DailySeries, Evidence, Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.season_weights import effective_seasons, weights_of
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import crop, invented_series, monthly_climate, setting, sowing

CLIMATE = monthly_climate()
TODAY = date(2027, 9, 20)
STANDING = {"status": BatchStatus.PLANTED, "sown": None, "plants": 100}
SOW_DAYS = ("2027-03-20", "2027-04-01", "2027-04-15", "2027-05-01", "2027-05-15")


def batches(*days: str, **changes: object) -> list[Sowing]:
    """Successions of one variety, b0 and on."""
    return [sowing(day, key=f"b{place}", **{**STANDING, **changes}) for place, day in enumerate(days or SOW_DAYS)]


def made(sowings: list[Sowing], *, climate: Climate = CLIMATE, seasons: int = 2000, seed: int = 7) -> Forecast:
    return forecast(sowings, climate, setting(today=TODAY, seasons=seasons, seed=seed))


def seen(sowings: list[Sowing], key: str, **evidence: object) -> list[Sowing]:
    """The same batches with something seen of one."""
    told = Evidence(**evidence)  # type: ignore[arg-type]
    return [replace(item, evidence=told) if item.key == key else item for item in sowings]


def first_days(found: Forecast, key: str) -> np.ndarray:
    return next(latent.first_day for latent in found.latents if latent.key == key).astype(float)


def spread(found: Forecast, key: str, *levels: float) -> np.ndarray:
    """Quantiles of a batch's first day, as numbers in the span."""
    return quantiles(first_days(found, key)[None, :], levels or (0.1, 0.5, 0.9), found.weights)[:, 0]


def half_days(found: Forecast, key: str) -> np.ndarray:
    """The 80 % interval of the day by which half of a batch's stems are ready."""
    latent = next(latent for latent in found.latents if latent.key == key)
    half = np.argmax(latent.curves >= 0.5, axis=1)[latent.curve]
    return quantiles((latent.first_day + half)[None, :].astype(float), (0.1, 0.9), found.weights)[:, 0]


def day_of(found: Forecast, number: float) -> date:
    assert found.seasons is not None
    return found.seasons.span.first + timedelta(days=round(number))


@pytest.mark.parametrize(
    ("habit", "weeks"), [(Habit.FLUSH, 5.0), (Habit.SINGLE_CUT, 2.5), (Habit.CUT_AND_COME_AGAIN, 8.0)]
)
def test_a_first_cut_narrows_the_day_of_half_the_stems_to_half_or_less(habit: Habit, weeks: float) -> None:
    sowings = batches(crop=crop(habit=habit, harvest_weeks=weeks))
    before = made(sowings)
    after = before.with_sowings(seen(sowings, "b2", first_cut=day_of(before, spread(before, "b2")[1])))
    assert np.ptp(half_days(after, "b2")) <= np.ptp(half_days(before, "b2")) / 2


@pytest.mark.parametrize(("level", "sign"), [(0.05, -1), (0.95, 1)])
@pytest.mark.parametrize("variety", ["grass", "another"])
def test_an_early_or_late_first_cut_moves_the_others_the_same_way(level: float, sign: int, variety: str) -> None:
    sowings = [*batches(), sowing("2027-04-20", key="other", variety=variety, **STANDING)]
    before = made(sowings)
    after = before.with_sowings(seen(sowings, "b2", first_cut=day_of(before, spread(before, "b2", level)[0])))
    moved = sign * (spread(after, "other") - spread(before, "other"))
    assert moved[1] > 0.5
    assert np.ptp(spread(after, "other")[[0, 2]]) <= np.ptp(spread(before, "other")[[0, 2]]) + 0.5


def test_a_first_cut_when_it_was_expected_moves_no_other_by_a_day() -> None:
    sowings = batches()
    before = made(sowings)
    after = before.with_sowings(seen(sowings, "b2", first_cut=day_of(before, spread(before, "b2")[1])))
    for key in ("b0", "b1", "b3", "b4"):
        assert abs(spread(after, key)[1] - spread(before, key)[1]) <= 1
    assert after.effective_seasons < before.effective_seasons


def test_last_years_batch_is_left_alone_and_says_nothing_of_this_year() -> None:
    old = sowing("2026-04-15", key="old", **STANDING)
    sowings = [*batches(), replace(old, evidence=Evidence(first_cut=date(2026, 8, 20)))]
    before = made(sowings)
    assert (before.weights == made(batches()).weights).all()
    after = before.with_sowings(seen(sowings, "b2", first_cut=date(2027, 8, 1)))
    assert not (after.weights == before.weights).all()
    assert (spread(after, "old") == spread(before, "old")).all()
    unseen_before = made([*batches(), old])
    unseen_after = unseen_before.with_sowings(seen([*batches(), old], "b2", first_cut=date(2027, 7, 20)))
    assert abs(spread(unseen_after, "old")[1] - spread(unseen_before, "old")[1]) < 1.5


def truth(sowings: list[Sowing], seed: int) -> np.ndarray:
    """First days of all batches in one season that the forecast has never drawn."""
    other = made(sowings, seed=1000 + seed, seasons=200)
    season = (37 * seed) % 200
    return np.array([latent.first_day[season] for latent in other.latents], dtype=float)


def test_after_ten_first_cuts_fifty_seasons_are_left_and_the_error_of_the_others_is_a_fifth_smaller() -> None:
    rng = np.random.default_rng(5)
    days = [str(date(2027, 3, 5) + timedelta(days=int(day))) for day in rng.integers(0, 80, 24)]
    sowings = batches(*days)
    before = made(sowings)
    prior_error, error = [], []
    for seed in range(10):
        true = truth(sowings, seed)
        told = [
            replace(batch, evidence=Evidence(first_cut=day_of(before, true[place]))) if place < 10 else batch
            for place, batch in enumerate(sowings)
        ]
        after = before.with_sowings(told)
        assert after.effective_seasons > 50
        unseen = [batch.key for batch in sowings[10:]]
        prior_error.append(np.mean([abs(spread(before, key)[1] - true[int(key[1:])]) for key in unseen]))
        error.append(np.mean([abs(spread(after, key)[1] - true[int(key[1:])]) for key in unseen]))
    assert np.mean(error) <= 0.8 * np.mean(prior_error)


@settings(max_examples=8)
@given(st.permutations(range(4)), st.lists(st.integers(-12, 12), min_size=4, max_size=4))
def test_records_weigh_the_same_in_any_order_and_once_however_often(order: list[int], late: list[int]) -> None:
    sowings = batches()[:4]
    found = made(sowings, seasons=300)
    told = [
        replace(batch, evidence=Evidence(first_cut=day_of(found, spread(found, batch.key)[1] + days)))
        for batch, days in zip(sowings, late, strict=True)
    ]
    at_once = made(told, seasons=300)
    so_far = list(sowings)
    for place in order:
        so_far[place] = told[place]
        found = found.with_sowings(so_far).with_sowings(so_far)
    assert np.allclose(found.weights, at_once.weights, atol=1e-12)
    assert all((a.first_day == b.first_day).all() for a, b in zip(found.latents, at_once.latents, strict=True))
    assert made(told[::-1], seasons=300).weights == pytest.approx(at_once.weights)


def test_taking_a_record_back_brings_the_forecast_back() -> None:
    sowings = batches()
    before = made(sowings)
    back = before.with_sowings(seen(sowings, "b2", first_cut=date(2027, 8, 30))).with_sowings(sowings)
    assert (back.weights == before.weights).all()
    assert all((a.first_day == b.first_day).all() for a, b in zip(back.latents, before.latents, strict=True))


def test_no_record_is_no_evidence() -> None:
    assert np.ptp(made(batches()).weights) == 0
    assert made(batches()).moved_by == ()


def test_not_yet_makes_the_others_later_too() -> None:
    sowings = batches()
    before = made(sowings)
    after = before.with_sowings(seen(sowings, "b2", not_yet=day_of(before, spread(before, "b2")[2])))
    assert spread(after, "b3")[1] > spread(before, "b3")[1] + 1
    unmoved = before.with_sowings(seen(sowings, "b2", not_yet=date(2027, 5, 1)))
    assert abs(spread(unmoved, "b3") - spread(before, "b3")).max() < 0.2


def test_stems_cut_by_a_day_came_by_that_day() -> None:
    sowings = batches()
    before = made(sowings)
    early = day_of(before, spread(before, "b2", 0.2)[0])
    after = before.with_sowings(seen(sowings, "b2", ready_by=early, cut_so_far=10, cut_until=early))
    assert day_of(after, first_days(after, "b2").max()) == early
    assert spread(after, "b3")[1] < spread(before, "b3")[1]


def test_where_temperatures_were_measured_no_weather_year_is_favoured() -> None:
    daily = invented_series(23)
    known = Climate(daily=DailySeries(daily.dates, daily.min_c, daily.max_c))
    batch = sowing("2027-04-15", seen=Evidence(first_cut=date(2027, 7, 20)), **STANDING)
    for climate, is_known in ((known, True), (Climate(daily=invented_series(20)), False)):
        seasons = made([batch], climate=climate).seasons
        assert seasons is not None
        alike = replace(seasons, z_pace=np.zeros_like(seasons.z_pace))
        logs = date_log_shares(batch, alike)
        assert logs is not None
        assert bool(np.ptp(logs, axis=1).max() < 1e-9) is is_known


def test_where_few_seasons_fit_new_ones_are_drawn_that_agree_with_very_many_seasons() -> None:
    sowings = batches(*[str(date(2027, 3, 20) + timedelta(days=4 * step)) for step in range(16)])
    late = made(sowings)
    told = [
        replace(batch, evidence=Evidence(first_cut=day_of(late, spread(late, batch.key, 0.97)[0])))
        if place % 2
        else batch
        for place, batch in enumerate(sowings)
    ]
    few, many = made(told, seasons=600), made(told, seasons=40_000)
    assert few.judged is not None
    assert few.judged.is_drawn_again
    assert effective_seasons(weights_of(few.judged.logs)) < 50 < few.effective_seasons
    assert many.judged is not None
    assert not many.judged.is_drawn_again
    for key in ("b0", "b6", "b14"):
        assert spread(few, key) == pytest.approx(spread(many, key), abs=2.5)


def totals(found: Forecast, key: str) -> float:
    """The mean harvest of a batch [stems]."""
    latent = next(latent for latent in found.latents if latent.key == key)
    return float(latent.total @ found.weights)


@pytest.mark.parametrize(("stems", "sign"), [(250, -1), (800, 1)])
def test_a_poor_or_rich_harvest_moves_the_others_the_same_way(stems: int, sign: int) -> None:
    sowings = batches()
    dates = {"first_cut": date(2027, 7, 10), "cut_until": date(2027, 9, 10)}
    before = made(seen(sowings, "b2", first_cut=dates["first_cut"]))
    after = made(seen(sowings, "b2", cut_so_far=stems, left=0, **dates))
    assert sign * (totals(after, "b4") - totals(before, "b4")) > 10
    assert totals(after, "b2") == pytest.approx(stems, rel=0.2)


def test_stems_cut_alone_are_a_lower_bound_and_never_make_the_others_poorer() -> None:
    sowings = batches()
    dates = {"first_cut": date(2027, 7, 10), "cut_until": date(2027, 9, 10)}
    before = made(seen(sowings, "b2", first_cut=dates["first_cut"]))
    few, many = (made(seen(sowings, "b2", cut_so_far=stems, **dates)) for stems in (20, 700))
    assert totals(few, "b4") == pytest.approx(totals(before, "b4"), rel=0.01)
    assert totals(many, "b4") > totals(before, "b4") + 10
    latent = next(latent for latent in many.latents if latent.key == "b2")
    assert latent.total.min() >= 700


def test_the_answer_says_which_batches_moved_it_and_how_far() -> None:
    sowings = batches()
    before = made(sowings)
    late = day_of(before, spread(before, "b2")[2])
    after = before.with_sowings(seen(seen(sowings, "b2", first_cut=late), "b0", not_yet=date(2027, 5, 1)))
    strongest = after.moved_by[0]
    assert (strongest.batch, {moved.batch for moved in after.moved_by}) == ("b2", {"b0", "b2"})
    assert strongest.late_days == pytest.approx(spread(before, "b2")[2] - spread(before, "b2")[1], abs=1)
    assert strongest.shift_days > 0.5
    assert strongest.effective_seasons < after.moved_by[1].effective_seasons
