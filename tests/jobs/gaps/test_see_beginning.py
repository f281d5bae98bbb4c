"""What a farm that is being entered already says."""

from collections.abc import Callable
from datetime import date

import pytest

from haulm.farm.words import LifeCycle
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.gaps.see_beginning import (
    MOST_KINDS_TOLD,
    kinds_in_flower,
    may_promise_on,
    metres_of,
    outdoor_seasons,
    places_at_once,
)
from support.desks import MONDAY
from support.farms import grower_folder

SITE = """
    format = 1
    name = "First evening"
    latitude = 52.1
    [frost]
    last_spring_p10 = "04-01"
    last_spring_p50 = "04-19"
    last_spring_p90 = "05-13"
    first_autumn_p10 = "10-23"
    first_autumn_p50 = "11-16"
    first_autumn_p90 = "12-08"
    [temperatures]
    min_c = [1.3, 1.4, 2.5, 4.0, 7.1, 10.1, 12.2, 12.2, 10.1, 7.4, 4.3, 2.4]
    max_c = [6.6, 7.9, 10.6, 13.6, 16.8, 19.7, 22.0, 22.0, 19.5, 15.0, 10.2, 7.2]
    """
KINDS = "key,name\nzinnia,Zinnia\npeony,Peony"
BEDS = "key,name,metres,width_cm,kind,trays\nlong,Long bed,30,120,,\nbench,Bench,,,bench,12"


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    return open_desk(grower_folder(site=SITE, varieties=KINDS, beds=BEDS))


def test_a_tender_kind_flowers_from_summer_to_the_frost_and_one_that_waits_years_does_not(desk: Desk) -> None:
    zinnia, peony = kinds_in_flower(desk.store.farm(), date(2027, 3, 1))
    assert zinnia.first is not None and zinnia.last is not None
    assert date(2027, 6, 15) <= zinnia.first <= date(2027, 8, 15)
    assert date(2027, 9, 15) <= zinnia.last <= date(2027, 12, 10)
    assert peony.first is None or peony.first > date(2028, 1, 1)


def test_what_is_sown_from_june_on_flowers_later_than_what_is_sown_from_march_on(desk: Desk) -> None:
    early, late = (kinds_in_flower(desk.store.farm(), day)[0] for day in (date(2027, 3, 1), date(2027, 6, 14)))
    assert early.first is not None and late.first is not None and early.first < late.first


def test_of_many_kinds_the_ones_picked_last_are_told(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    many = "".join(f"zinnia-{number},Zinnia {number}\n" for number in range(MOST_KINDS_TOLD + 3))
    found = kinds_in_flower(open_desk(grower_folder(site=SITE, varieties=f"key,name\n{many}")).store.farm(), MONDAY)
    assert [one.crop.name for one in found] == [f"Zinnia {number}" for number in range(3, MOST_KINDS_TOLD + 3)]


def test_without_a_climate_nothing_is_said_of_flowering(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    bare = open_desk(grower_folder(varieties=KINDS))
    assert kinds_in_flower(bare.store.farm(), MONDAY) == ()


def test_hardy_kinds_go_out_two_weeks_before_the_usual_frost_and_tender_ones_after_a_late_one(desk: Desk) -> None:
    hardy, tender = outdoor_seasons(desk.store.farm(), MONDAY)
    assert (hardy.life_cycle, hardy.first) == (LifeCycle.HARDY_ANNUAL, date(2027, 4, 5))
    assert (tender.life_cycle, tender.first) == (LifeCycle.TENDER_ANNUAL, date(2027, 5, 13))


def test_beds_hold_what_stands_in_their_rows(desk: Desk) -> None:
    farm = desk.store.farm()
    assert metres_of(farm) == 30
    assert dict(places_at_once(farm))["Zinnia"] == 400, "four rows a foot apart, a plant each 30 cm"


def test_each_kind_is_told_for_a_day_and_a_day_that_is_over_is_refused(desk: Desk) -> None:
    told = may_promise_on(desk, date(2027, 8, 17))
    assert [one.crop.name for one in told] == ["Zinnia", "Peony"]
    assert all(one.answer is not None and one.answer.found.stems == 0 for one in told), "nothing is sown"
    with pytest.raises(DatePassed):
        may_promise_on(desk, date(2027, 6, 1))


def test_a_kind_that_no_cut_day_can_serve_says_which_day_would(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    short = open_desk(grower_folder(site=SITE, varieties="key,name,hold_days\nzinnia,Zinnia,1"))
    (told,) = may_promise_on(short, date(2027, 8, 15))
    assert told.answer is None and "cut on" in told.why_not
