"""One cold night: a kind hardened by winter stands what would kill it soft; once its buds show its stems do not."""

from __future__ import annotations

from datetime import date

from haulm.farm.words import BatchStatus, Method
from haulm.forecast.one_night import Wintering, wintering
from support.winters import SOWN, seasons_of, sown

IN_MARCH = date(2027, 3, 15)


def larkspur(night: date, where: str = "ithaca", *, on: date = SOWN) -> Wintering:
    """Larkspur that stands in the open, on a night."""
    found = wintering(sown("larkspur", on=on, status=BatchStatus.SOWN), seasons_of(where, today=night), night)
    assert found is not None
    return found


def test_overwintered_larkspur_lives_through_a_hard_frost_in_march() -> None:
    found = larkspur(IN_MARCH)

    assert found.alive(-6.0) > 0.9 and not found.is_soft


def test_a_colder_night_never_leaves_more() -> None:
    found = larkspur(IN_MARCH)
    shares = [found.alive(float(min_c)) for min_c in range(0, -41, -2)]

    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.95 and shares[-1] < 0.05


def test_the_same_night_finds_softer_plants_where_the_weeks_before_were_mild() -> None:
    cold, mild = (larkspur(IN_MARCH, where) for where in ("ithaca", "north_yorkshire"))

    assert (
        cold.growing.seasons.winter.hardened.each[cold.night].mean()
        > mild.growing.seasons.winter.hardened.each[mild.night].mean()
    )


def test_its_buds_show_by_the_time_it_flowers() -> None:
    assert larkspur(date(2027, 7, 5)).is_soft


def test_a_tender_kind_has_no_winter() -> None:
    assert wintering(sown("zinnia", on=date(2027, 5, 20)), seasons_of("ithaca", today=IN_MARCH), IN_MARCH) is None


def test_a_late_frost_takes_the_shoots_of_dahlias_and_leaves_their_tubers() -> None:
    night = date(2027, 5, 20)
    planted = sown("dahlia", on=date(2027, 5, 1), method=Method.TUBER, status=BatchStatus.PLANTED)
    found = wintering(planted, seasons_of("ithaca", today=night), night)

    assert found is not None and found.is_soft and found.alive(-3.0) > 0.9
