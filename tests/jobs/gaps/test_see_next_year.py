"""A season beside the next: what is proposed, what stays, what earned little, what is said of each sowing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from haulm.advice.next_season import Stays
from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.gaps.next_year_words import copy_in_words, stood_for
from haulm.jobs.gaps.see_next_year import NextSowing, NextYear, season_name, see_next_year
from support.desks import done, on
from support.farms import grower_folder
from support.season_farm import SITE, season_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    return open_desk(season_farm())


def sowing(found: NextYear, key: str) -> NextSowing:
    return next(one for one in found.sowings if one.batch.key == key)


def test_each_sowing_of_the_season_stands_beside_its_copy_on_the_same_weekday(desk: Desk) -> None:
    found = see_next_year(desk)

    assert (found.season, found.into, found.seasons, found.own) == (2027, 2028, (2027, 2028), 0)
    days = {one.batch.key: one.copy.sow_date for one in found.sowings}
    assert days == {
        "zinnia-1": date(2028, 4, 17),
        "zinnia-2": date(2028, 6, 19),
        "cosmos-1": date(2028, 4, 24),
        "corn-autumn": date(2027, 9, 27),
        "corn-1": date(2028, 4, 3),
        "rud-1": date(2028, 3, 27),
        "sun-1": date(2028, 5, 8),
        "dahlia-1": date(2028, 5, 9),
    }


def test_kinds_that_earn_least_for_their_bed_are_not_ticked_and_it_is_said_why(desk: Desk) -> None:
    found = see_next_year(desk)

    why = {kind.crop.key: kind.why_poor for kind in found.kinds}
    assert {kind for kind, words in why.items() if words} == {"cornflower", "sunflower_single"}
    assert why["sunflower_single"].startswith("Not ticked: a metre of it brings €0.00")
    assert {one.batch.key for one in found.ticked} == {"zinnia-1", "zinnia-2", "cosmos-1", "rud-1"}


def test_tubers_perennials_and_what_was_begun_for_the_next_season_stay(desk: Desk) -> None:
    found = see_next_year(desk)

    assert [one.batch.key for one in found.kept] == ["dahlia-1"]
    assert {batch.key: why for batch, why in found.standing} == {"peony-1": Stays.PERENNIAL, "william-1": Stays.WINTERS}


def test_lost_sowings_are_said_and_their_loss_is_not_the_kinds_fault(desk: Desk) -> None:
    found = see_next_year(desk)
    words = stood_for(sowing(found, "corn-1"), "EUR")

    assert sowing(found, "corn-1").is_lost and "it was lost" in words and "a metre" not in words
    (kind,) = (one for one in found.kinds if one.crop.key == "cornflower")
    assert kind.earned is not None and kind.earned.metres == 4


def test_what_a_sowing_stood_for_is_said_in_stems_and_money(desk: Desk) -> None:
    values: dict[str, object] = {"kind": "cut", "batch": "zinnia-1", "count": 40, "date": "2027-06-14"}
    done(desk, lambda work: add_row(desk, work, RowAsked("records", values)))
    found = see_next_year(desk)
    one = sowing(found, "zinnia-1")

    assert one.cut == 40 and one.to_come and one.earned and one.earned.metres == 5
    said = stood_for(one, "EUR")
    assert said.startswith("This season Mon 19 Apr 2027; 40 stems cut; about ") and "a metre of bed." in said
    assert copy_in_words(Names(found.plan.farm), one) == ("Mon 17 Apr 2028, 100 places in trays under cover, Long bed")


def test_a_day_that_is_over_is_not_proposed(desk: Desk) -> None:
    on(desk, date(2027, 11, 8))
    found = see_next_year(desk)

    assert sowing(found, "corn-autumn").is_past and not sowing(found, "corn-autumn").may_be_ticked
    assert "corn-autumn" not in {one.batch.key for one in found.ticked}


def test_in_january_it_is_still_last_seasons_plan_that_is_copied(desk: Desk) -> None:
    on(desk, date(2028, 1, 10))
    assert see_next_year(desk).season == 2028, "sweet william sown last June is for this year"


def test_a_season_without_sowings_is_refused_and_an_empty_farm_has_none_to_copy(
    desk: Desk, open_desk: OpenDesk
) -> None:
    with pytest.raises(NotAccepted) as refused:
        see_next_year(desk, 2031)
    assert "2027, 2028" in refused.value.accepted


def test_a_first_season_has_nothing_to_copy(open_desk: OpenDesk) -> None:
    found = see_next_year(open_desk(grower_folder(site=SITE, varieties="key,name\nzinnia,Zinnia")))

    assert found.season is None and not found.sowings and not found.is_all_copied and found.into == 2028


def test_in_the_south_a_season_runs_from_july_to_june(open_desk: OpenDesk) -> None:
    site = SITE.replace("latitude = 52.1", "latitude = -37.5")
    frost = site[site.index("    [frost]") : site.index("    [temperatures]")]
    batches = "key,variety,sow_date,method,sown\nspring,zinnia,2026-10-12,cover,100\nlate,zinnia,2027-02-01,direct,50"
    desk = open_desk(season_farm(site=site.replace(frost, ""), batches=batches, standing_orders="", standing_lines=""))
    found = see_next_year(desk)

    assert (found.season, found.name, found.next_name, found.ends) == (2026, "2026/27", "2027/28", date(2028, 6, 30))
    assert season_name(2099, found.plan.farm) == "2099/00"
    assert [one.copy.sow_date for one in found.ticked] == [date(2027, 10, 18), date(2028, 1, 31)], (
        "2026 has 53 weeks: week 42 stays week 42; 2027 has 52"
    )
