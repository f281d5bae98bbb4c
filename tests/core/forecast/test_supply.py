"""Laws of supply: seasons x days x product."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.farm.products import Product
from haulm.farm.stated import ColdNeed
from haulm.farm.words import BatchStatus, Form, Habit, LifeCycle, Method
from haulm.forecast.inputs import Climate, ClimateMissing, DateLevels, Evidence, Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.own_draws import own_draws, sensitivity_rows
from haulm.forecast.supply import Forecast, forecast
from haulm.forecast.weather import Basis
from haulm.horticulture.frost import NEVER
from haulm.horticulture.thermal_time import degree_days
from haulm.horticulture.time_to_flower import KINDS, kinds_of
from support.forecast_builders import TODAY, crop, monthly_climate, setting, sowing, yearly_climate

CLIMATE = yearly_climate()
EARLY_FROST = replace(CLIMATE, first_autumn_frost=DateLevels((7, 20), (8, 10), (9, 5)))
GRASS = Product("grass")
DAYS = 400
NO_FROST = crop(kill_c=-60.0)
SOWINGS = st.builds(
    lambda day, method, habit, key: sowing(
        str(date(2027, 2, 1) + timedelta(days=day)), key=key, method=method, crop=crop(habit=habit)
    ),
    st.integers(0, 150),
    st.sampled_from([Method.HEATED, Method.COVER, Method.DIRECT, Method.PLUGS]),
    st.sampled_from(Habit),
    st.text("abcxyz", min_size=1, max_size=6),
)


def made(*sowings: Sowing, climate: Climate = CLIMATE, **changes: object) -> Forecast:
    return forecast(sowings, climate, setting(**changes))


def stems(found: Forecast, product: Product = GRASS, first: date = TODAY, days: int = DAYS) -> np.ndarray:
    """All length classes together, shape (days, seasons)."""
    return np.asarray(sum(found.ready_stems(product, first, days).values()))


def first_days(*sowings: Sowing, climate: Climate = CLIMATE) -> np.ndarray:
    return made(*sowings, climate=climate).latents[0].first_day.astype(int)


def day_by_day(latent: Latent, share: float, first: int, days: int, season: int) -> list[int]:
    """The slow reference: one season, one length class, one day at a time."""
    start, kill, curve = (int(item[season]) for item in (latent.first_day, latent.kill_day, latent.curve))
    scale = latent.total[season] * np.float32(share)

    def ready_before(day: int) -> int:
        passed = min(max(0, min(day, kill) - start), latent.curves.shape[1] - 1)
        return int(latent.curves[curve, passed] * scale)

    return [ready_before(day + 1) - ready_before(day) for day in range(first, first + days)]


@settings(max_examples=15)
@given(SOWINGS)
def test_the_fast_way_and_the_slow_way_agree_exactly(batch: Sowing) -> None:
    found = made(replace(batch, crop=replace(batch.crop, kill_c=0.0)), climate=EARLY_FROST, seasons=40)
    assert found.seasons is not None
    first = found.seasons.span.index(TODAY)
    pools = found.ready_stems(GRASS, TODAY, DAYS)
    latent = found.latents[0]
    for length, share in latent.lengths:
        slow = [day_by_day(latent, share, first, DAYS, season) for season in range(40)]
        assert np.array_equal(pools[length].T, slow)


def test_no_stem_is_ready_before_the_first_day_nor_from_the_killing_day_on() -> None:
    found = made(sowing("2027-05-01", crop=crop(kill_c=0.0)), climate=EARLY_FROST)
    assert found.seasons is not None
    days = stems(found)
    number = found.seasons.span.index(TODAY) + np.arange(DAYS)[:, None]
    latent = found.latents[0]
    assert not days[number < latent.first_day].any()
    assert not days[number >= latent.kill_day].any()
    assert days[number == latent.kill_day - 1].any()


def test_without_frost_the_days_sum_to_the_whole_harvest() -> None:
    found = made(sowing("2027-04-15", crop=NO_FROST))
    whole = found.latents[0].total
    shares = [np.float32(share) for _, share in found.latents[0].lengths]
    assert (stems(found, days=600).sum(axis=0) == sum((whole * share).astype(int) for share in shares)).all()


@settings(max_examples=10)
@given(SOWINGS, SOWINGS)
def test_batches_add_up_whatever_their_order(one: Sowing, other: Sowing) -> None:
    other = replace(other, key=other.key + "2")
    both = stems(made(one, other, seasons=50))
    assert (both == stems(made(other, one, seasons=50))).all()
    assert (both == stems(made(one, seasons=50)) + stems(made(other, seasons=50))).all()
    assert both.min() >= 0


@settings(max_examples=10)
@given(SOWINGS)
def test_a_batch_tried_later_gives_what_it_would_have_given_from_the_start(batch: Sowing) -> None:
    tried = made(sowing(key="other"), seasons=50).batch_ready_stems(batch, TODAY, DAYS)
    assert (np.asarray(sum(tried.values())) == stems(made(batch, seasons=50))).all()


def test_busy_days_hold_all_that_becomes_ready_and_no_more() -> None:
    counted = {"status": BatchStatus.CUTTING, "plants": 60}
    told = Evidence(first_cut=date(2027, 7, 1), cut_so_far=20, cut_until=date(2027, 7, 20), left=9)
    batches = [sowing("2027-04-10", key="a", **counted), sowing("2027-03-20", key="b", seen=told, **counted)]
    found = made(*batches, today=date(2027, 7, 25))
    busy = found.busy_stems(GRASS, TODAY, DAYS)
    whole = found.ready_stems(GRASS, TODAY, DAYS)
    assert busy.keys() == whole.keys()
    for length, part in busy.items():
        rows = np.flatnonzero(whole[length].any(axis=1))
        assert len(rows), "something grows"
        assert part.row <= rows[0]
        assert rows[-1] < part.row + len(part.stems) < DAYS
        assert (whole[length][part.row : part.row + len(part.stems)] == part.stems).all()


@pytest.mark.parametrize("days", [1, 7, 45])
def test_a_few_days_hold_what_the_whole_year_holds_on_them(days: int) -> None:
    told = Evidence(first_cut=date(2027, 7, 1), cut_so_far=20, cut_until=date(2027, 7, 20), left=9)
    counted = {"status": BatchStatus.CUTTING, "plants": 60}
    found = made(sowing("2027-04-10", key="a", seen=told, **counted), sowing("2027-05-20", key="b", **counted))
    whole = found.ready_stems(GRASS, TODAY, DAYS)
    for row in range(150, 330, 15):
        few = found.ready_stems(GRASS, TODAY + timedelta(days=row), days)
        assert few.keys() == whole.keys()
        assert all((stems == whole[length][row : row + days]).all() for length, stems in few.items())
    assert any(stems[150:330].any() for stems in whole.values())


def test_a_glance_at_some_seasons_sees_what_they_all_show() -> None:
    tried = made(sowing(key="other"), seasons=50)
    every = tried.batch_ready_stems(sowing(), TODAY, DAYS)
    some = tried.batch_ready_stems(sowing(), TODAY, DAYS, every=4)

    assert all(np.array_equal(some[length], every[length][:, ::4]) and every[length].any() for length in every)


def test_the_same_seed_gives_the_same_stems_and_another_seed_others() -> None:
    assert (stems(made(sowing())) == stems(made(sowing()))).all()
    assert (stems(made(sowing())) != stems(made(sowing(), seed=8))).any()


@pytest.mark.parametrize("method", [Method.HEATED, Method.COVER, Method.DIRECT])
def test_a_later_sowing_never_flowers_earlier(method: Method) -> None:
    dates = [str(date(2027, 2, 20) + timedelta(days=6 * step)) for step in range(15)]
    found = [first_days(sowing(day, method=method)) for day in dates]
    assert all((later >= earlier).all() for earlier, later in itertools.pairwise(found))


def test_the_first_day_is_the_one_before_which_enough_progress_was_made() -> None:
    planted = sowing("2027-05-10", method=Method.TUBER, plants=50)
    found = made(planted, seasons=12)
    seasons = found.seasons
    assert seasons is not None
    start = seasons.span.index(date(2027, 5, 10))
    reference, own = seasons.reference(planted.crop, start=start), own_draws("b1", found.setting)
    light, rows = seasons.light_for(planted.crop.life_cycle), sensitivity_rows("grass", found.setting)
    for season in range(12):
        low, high = (part[seasons.weather_row[season]] for part in (seasons.weather.min_c, seasons.weather.max_c))
        q = degree_days(low, high, base_c=5.0, upper_c=25.0) / reference.warmth
        kind = kinds_of(planted.crop.life_cycle)[rows[season]]
        a = KINDS[kind]
        score = 0.09 * (0.3**0.5 * seasons.z_pace[season] + 0.7**0.5 * own.z_pace[season])
        left, day = np.exp(score - 0.09**2 / 2) * reference.pace[kind], start
        while left > 0:
            left -= light[day] * ((1 - a) * min(1, q[day] / 0.45) + a * q[day])
            day += 1
        assert found.latents[0].first_day[season] == day


def test_a_heated_bench_gains_no_more_than_the_days_of_germination() -> None:
    for sow in ("2027-02-15", "2027-03-15", "2027-04-15"):
        gained = first_days(sowing(sow, method=Method.DIRECT)) - first_days(sowing(sow, method=Method.HEATED))
        assert 0 < gained.mean() < 14


def test_more_weeks_never_flower_earlier() -> None:
    assert (first_days(sowing(crop=crop(weeks_to_flower=14.5))) >= first_days(sowing())).all()


def test_the_stated_weeks_come_back_at_the_reference_sow_day() -> None:
    found = made(sowing("2027-04-15"))
    assert found.seasons is not None
    days = found.latents[0].first_day - found.seasons.span.index(date(2027, 4, 15))
    assert days.mean() == pytest.approx(87.5, abs=2.5)


def test_a_known_warm_spring_is_earlier_than_the_usual_one() -> None:
    dates = np.arange(np.datetime64("2027-01-01"), np.datetime64("2027-06-01"))
    usual = CLIMATE.daily
    assert usual is not None
    warm = replace(
        usual,
        dates=np.concatenate([usual.dates, dates]),
        min_c=np.concatenate([usual.min_c, np.full(len(dates), 10.0)]),
        max_c=np.concatenate([usual.max_c, np.full(len(dates), 20.0)]),
    )
    late = {"status": BatchStatus.SOWN}
    batch = sowing("2027-04-01", **late)
    known = forecast([batch], Climate(daily=warm), setting(today=date(2027, 6, 1)))
    unknown = forecast([batch], CLIMATE, setting(today=date(2027, 6, 1)))
    assert known.latents[0].first_day.mean() < unknown.latents[0].first_day.mean() - 5


def test_twice_the_plants_and_seed_give_twice_the_stems() -> None:
    once, twice = (made(sowing(sown=200 * k, plants=120 * k)).latents[0].total for k in (1, 2))
    assert np.allclose(twice, 2 * once)


def test_seed_that_does_not_germinate_gives_no_stems() -> None:
    assert not stems(made(sowing(crop=crop(germination_share=0.0)))).any()


def test_a_hardier_kind_never_has_fewer_stems() -> None:
    tender, hardy = (
        stems(made(sowing("2027-04-01", crop=crop(kill_c=level, life_cycle=LifeCycle.HALF_HARDY_ANNUAL))))
        for level in (0.0, -3.0)
    )
    assert (hardy.sum(axis=0) >= tender.sum(axis=0)).all()
    assert hardy.sum() > tender.sum()


def test_a_tender_kind_planted_early_loses_plants_to_frost() -> None:
    tender = crop(kill_c=0.0, life_cycle=LifeCycle.TENDER_ANNUAL)
    early, late = (
        made(sowing("2027-03-01", crop=tender, method=Method.COVER, plant_out_date=date(2027, *out))).latents[0].total
        for out in ((4, 5), (6, 5))
    )
    assert early.mean() < 0.9 * late.mean()


def test_about_one_batch_in_thirty_three_fails_outright() -> None:
    total = made(sowing(crop=NO_FROST), seasons=4000).latents[0].total
    assert (total == 0).mean() == pytest.approx(0.03, abs=0.01)


def test_the_mean_harvest_is_the_product_of_its_means() -> None:
    total = (
        made(sowing(sown=None, plants=100, status=BatchStatus.PLANTED, crop=NO_FROST), seasons=8000).latents[0].total
    )
    assert total.mean() == pytest.approx(100 * 6 * 0.85 * 0.95 * 0.97, rel=0.02)


def test_two_batches_share_the_vigour_of_their_season() -> None:
    found = made(sowing(key="a", crop=NO_FROST), sowing(key="b", crop=NO_FROST), seasons=4000)
    one, other = (item.total for item in found.latents)
    alive = (one > 0) & (other > 0)
    assert 0.2 < np.corrcoef(np.log(one[alive]), np.log(other[alive]))[0, 1] < 0.45


def test_two_batches_share_the_weather_of_their_season() -> None:
    found = made(sowing(key="a"), sowing(key="b"), seasons=2000)
    one, other = (item.first_day for item in found.latents)
    assert np.corrcoef(one, other)[0, 1] > 0.2


def test_dried_stems_are_ready_when_they_are_dry() -> None:
    fresh = stems(made(sowing()))
    dried = stems(made(sowing(form=Form.DRIED)), Product("grass", Form.DRIED))
    assert (dried[14:] == fresh[:-14]).all()
    assert not dried[:14].any()


def test_length_classes_share_a_harvest_by_their_shares() -> None:
    pools = made(sowing()).ready_stems(GRASS, TODAY, DAYS)
    whole = sum(pool.sum() for pool in pools.values())
    assert [pools[length].sum() / whole for length in (30, 40, 50)] == pytest.approx([0.3, 0.5, 0.2], abs=0.01)


def test_a_window_is_the_part_of_a_longer_one() -> None:
    found = made(sowing())
    long = stems(found)
    assert (stems(found, first=TODAY + timedelta(days=190), days=20) == long[190:210]).all()


def test_the_south_flowers_half_a_year_later() -> None:
    south = setting(latitude_deg=-42.0, today=date(2027, 9, 1))
    normals = monthly_climate().normals
    assert normals is not None
    turned = replace(normals, min_c=normals.min_c[6:] + normals.min_c[:6], max_c=normals.max_c[6:] + normals.max_c[:6])
    found = forecast([sowing("2027-10-15")], Climate(normals=turned), south)
    assert found.seasons is not None
    days = found.latents[0].first_day - found.seasons.span.index(date(2027, 10, 15))
    assert days.mean() == pytest.approx(87.5, abs=3)


def test_a_biennial_sown_last_summer_flowers_this_spring_and_never_before_winter() -> None:
    biennial = crop(life_cycle=LifeCycle.BIENNIAL, weeks_to_flower=46.0, cold=ColdNeed(60.0))
    found = made(sowing("2026-06-15", crop=biennial, status=BatchStatus.PLANTED))
    assert found.seasons is not None
    first = found.seasons.span.index(date(2027, 3, 1))
    assert (found.latents[0].first_day >= first).all()
    assert stems(found).any()


def test_an_established_perennial_counts_its_weeks_from_the_first_of_march() -> None:
    standing = crop(life_cycle=LifeCycle.PERENNIAL, kill_c=-30.0)
    found = made(sowing(None, crop=standing, method=Method.ESTABLISHED, sown=None, plants=10))
    assert found.seasons is not None
    days = found.latents[0].first_day - found.seasons.span.index(date(2027, 3, 1))
    assert days.mean() == pytest.approx(87.5, abs=3)
    assert len(found.latents) == 2


def test_frost_dates_alone_give_the_plain_weeks_rule_and_an_end() -> None:
    autumn = DateLevels((9, 25), (10, 5), (10, 20))
    found = made(sowing("2027-05-01", crop=crop(kill_c=0.0)), climate=Climate(first_autumn_frost=autumn))
    assert found.basis is Basis.WEEKS
    assert found.seasons is not None
    killed = np.median(found.latents[0].kill_day) - found.seasons.span.index(date(2027, 10, 5))
    assert abs(killed) <= 2


def test_frost_levels_may_pass_new_year() -> None:
    mild = Climate(
        last_spring_frost=DateLevels((12, 20), (2, 1), (3, 10)),
        first_autumn_frost=DateLevels((11, 20), (12, 20), (1, 20)),
    )
    found = made(sowing("2027-05-01", crop=crop(kill_c=0.0)), climate=mild)
    assert found.seasons is not None
    killed = np.percentile(found.latents[0].kill_day, [10, 50, 90]) - found.seasons.span.index(date(2027, 12, 20))
    assert killed == pytest.approx([-30, 0, 31], abs=6)


@pytest.mark.parametrize("climate", [CLIMATE, EARLY_FROST], ids=["minima", "frost dates"])
@pytest.mark.parametrize("days", [7, 30, -14])
def test_a_frost_supposed_earlier_ends_batches_so_many_days_before(climate: Climate, days: int) -> None:
    batch = sowing("2027-04-05", crop=crop(kill_c=-1.0))
    usual, early = (made(batch, climate=climate, frost_days_earlier=by).latents[0] for by in (0, days))

    came = usual.kill_day < NEVER
    moved = usual.kill_day.astype(int) - early.kill_day
    assert came.any()
    # Nothing ends before its first midsummer: a frost can't be moved past it.
    assert set(np.unique(moved[came])) <= set(range(min(days, 0), max(days, 0) + 1)) and (moved[came] == days).any()
    assert (early.kill_day[~came] == NEVER).all()
    assert (early.first_day == usual.first_day).all() and (early.total == usual.total).all()


def test_a_frost_still_to_come_is_never_supposed_in_the_past() -> None:
    batch = sowing("2027-04-05", crop=crop(kill_c=-1.0), status=BatchStatus.CUTTING)
    autumn = date(2027, 9, 1)
    found = made(batch, climate=EARLY_FROST, today=autumn, frost_days_earlier=90)
    (latent,) = found.latents
    assert found.seasons is not None
    tomorrow = found.seasons.span.index(autumn) + 1
    usual = made(batch, climate=EARLY_FROST, today=autumn).latents[0].kill_day

    assert (latent.kill_day == np.minimum(usual, tomorrow)).all()


def test_frost_dates_win_over_minima() -> None:
    early = replace(CLIMATE, first_autumn_frost=DateLevels((8, 1), (8, 10), (8, 20)))
    tender = sowing("2027-05-01", crop=crop(kill_c=0.0))
    assert stems(made(tender, climate=early)).sum() < stems(made(tender)).sum()


def test_a_farm_without_any_climate_is_told_so_only_when_it_asks_for_a_batch() -> None:
    assert forecast([], None, setting()).products == ()
    with pytest.raises(ClimateMissing):
        forecast([sowing()], None, setting())
    with pytest.raises(ClimateMissing):
        forecast([], Climate(), setting()).batch_ready_stems(sowing(), TODAY, 10)
