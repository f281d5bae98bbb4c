"""Laws of evidence: what a record changes, and that silence changes nothing."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from haulm.farm.products import Product
from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.plan import is_overdue
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import crop, setting, sowing, yearly_climate

CLIMATE = yearly_climate()
TODAY = date(2027, 7, 20)
STANDING = {"status": BatchStatus.PLANTED, "sown": None, "plants": 100}


def made(batch: Sowing, *, today: date = TODAY, frosts: tuple[date, ...] = ()) -> Forecast:
    return forecast([batch], CLIMATE, setting(today=today, frosts=frosts))


def seen(**evidence: object) -> Sowing:
    """A planted batch of 100 sown in mid-April, with evidence."""
    return sowing("2027-04-15", seen=Evidence(**evidence), **STANDING)  # type: ignore[arg-type]


def stems(found: Forecast, first: date = date(2027, 1, 1), days: int = 365) -> np.ndarray:
    return np.asarray(sum(found.ready_stems(Product("grass"), first, days).values()))


def number(found: Forecast, day: date) -> int:
    assert found.seasons is not None
    return found.seasons.span.index(day)


def test_a_first_cut_is_the_first_day_in_every_season() -> None:
    found = made(seen(first_cut=date(2027, 7, 8)))
    assert (found.latents[0].first_day == number(found, date(2027, 7, 8))).all()


def test_not_yet_moves_the_first_day_after_it_and_touches_no_season_that_was_later_anyway() -> None:
    before, after = made(seen()), made(seen(not_yet=date(2027, 7, 14)))
    limit = number(after, date(2027, 7, 14))
    was, now = before.latents[0].first_day, after.latents[0].first_day
    assert (was <= limit).any()
    assert (now > limit).all()
    assert (now[was > limit] == was[was > limit]).all()


def test_not_yet_leaves_a_spread_of_days_not_a_heap_on_the_next() -> None:
    found = made(seen(not_yet=date(2027, 7, 14)))
    days = found.latents[0].first_day - number(found, date(2027, 7, 14))
    assert (days == 1).mean() < 0.4
    assert days.std() > 1


def test_silence_about_the_first_cut_changes_nothing() -> None:
    batch = seen()
    assert (made(batch, today=date(2027, 6, 1)).latents[0].first_day == made(batch).latents[0].first_day).all()


def test_a_final_germination_count_replaces_the_share() -> None:
    whole = sowing("2027-04-15", status=BatchStatus.SOWN, sown=200, plants=None, seen=Evidence(germinated_final=50))
    double = sowing("2027-04-15", status=BatchStatus.SOWN, sown=200, plants=None, seen=Evidence(germinated_final=100))
    assert np.allclose(made(double).latents[0].total, 2 * made(whole).latents[0].total)


def test_a_count_so_far_is_a_lower_bound() -> None:
    free = sowing("2027-04-15", status=BatchStatus.SOWN, plants=None)
    bound = sowing("2027-04-15", status=BatchStatus.SOWN, plants=None, seen=Evidence(germinated_so_far=165))
    more, before = made(bound).latents[0].total, made(free).latents[0].total
    assert (more >= before).all()
    assert (more > before).any()
    assert (more == before).any()


def test_plants_counted_alive_replace_the_plan() -> None:
    half, whole = (made(seen(plants_alive=count)).latents[0].total for count in (50, 100))
    assert np.allclose(whole, 2 * half)
    assert (whole > 0).all()


def test_stems_ready_up_to_the_last_cut_are_no_longer_in_the_field() -> None:
    cut = made(seen(first_cut=date(2027, 7, 8), cut_so_far=40, cut_until=date(2027, 7, 18)))
    uncut = made(seen(first_cut=date(2027, 7, 8)))
    row = (date(2027, 7, 19) - date(2027, 1, 1)).days
    assert not stems(cut)[:row].any()
    assert (stems(cut)[row:] >= stems(uncut)[row:]).all()


def test_stems_left_after_a_cut_are_ready_on_its_day_in_every_season() -> None:
    found = made(seen(first_cut=date(2027, 7, 8), cut_so_far=40, cut_until=date(2027, 7, 18), left=30))
    assert (stems(found)[(date(2027, 7, 18) - date(2027, 1, 1)).days] == 30).all()


def test_a_harvest_is_never_smaller_than_what_was_cut() -> None:
    total = made(seen(cut_so_far=700, cut_until=date(2027, 7, 18))).latents[0].total
    assert total.min() == 700
    assert total.max() > 700


@pytest.mark.parametrize("what", ["lost_on", "finished_on"])
def test_a_batch_that_ended_keeps_the_days_before_and_has_none_from_then_on(what: str) -> None:
    end = date(2027, 7, 15)
    ended, whole = made(seen(**{what: end})), made(seen())
    row = (end - date(2027, 1, 1)).days
    assert not stems(ended)[row:].any()
    assert (stems(ended)[:row] == stems(whole)[:row]).all()
    assert stems(whole)[row:].any()


def test_a_lost_batch_without_a_day_gives_nothing() -> None:
    assert made(sowing("2027-04-15", status=BatchStatus.LOST)).products == ()


@pytest.mark.parametrize(
    ("level", "kind", "struck"), [(0.0, LifeCycle.TENDER_ANNUAL, True), (-4.0, LifeCycle.HARDY_ANNUAL, False)]
)
def test_a_recorded_frost_ends_tender_batches_and_not_hardy_ones(level: float, kind: LifeCycle, struck: bool) -> None:
    batch = sowing("2027-05-20", crop=crop(kill_c=level, life_cycle=kind), **STANDING)
    frost = date(2027, 9, 1)
    found = made(batch, today=date(2027, 9, 2), frosts=(frost,))
    assert (not stems(found)[(frost - date(2027, 1, 1)).days :].any()) is struck


def test_a_planned_sowing_counts_as_sown_today_for_a_week_and_then_not_at_all() -> None:
    late = sowing("2027-04-15")
    in_time = made(sowing("2027-04-22"), today=date(2027, 4, 22))
    assert (made(late, today=date(2027, 4, 22)).latents[0].first_day == in_time.latents[0].first_day).all()
    overdue = made(late, today=date(2027, 4, 23))
    assert overdue.latents == ()
    assert overdue.overdue == ("b1",)


def test_trays_not_planted_out_count_as_planted_today_for_a_week_and_then_not_at_all() -> None:
    tray = sowing("2027-03-15", status=BatchStatus.SOWN, method=Method.COVER, plant_out_date=date(2027, 4, 26))
    assert len(made(tray, today=date(2027, 5, 3)).latents) == 1
    assert made(tray, today=date(2027, 5, 4)).latents == ()
    assert is_overdue(tray, date(2027, 4, 26) + timedelta(days=8))


def test_what_was_seen_of_a_perennial_this_year_says_nothing_of_its_next() -> None:
    seen_cut = Evidence(first_cut=date(2027, 6, 1), cut_so_far=90, cut_until=date(2027, 6, 20))
    plain = {"method": Method.ESTABLISHED, "crop": crop(life_cycle=LifeCycle.PERENNIAL, kill_c=-30.0), "plants": 10}
    cut, uncut = (made(sowing(None, seen=seen, **plain)) for seen in (seen_cut, None))
    assert (cut.latents[0].first_day == number(cut, date(2027, 6, 1))).all()
    assert (cut.latents[1].first_day == uncut.latents[1].first_day).all()
    assert cut.latents[1].taken_until == -1


def test_a_sowing_without_a_date_gives_nothing() -> None:
    assert made(sowing(None)).latents == ()
