"""The order list in words and as CSV: what the plan still needs, less what is at home."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date

import pytest

from haulm.errors import NotAccepted
from haulm.farm.words import InHand, Needed
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.tick_at_home import TickAsked, tick_at_home
from haulm.jobs.gaps.copy_season import CopyAsked, copy_season
from haulm.jobs.gaps.see_order_list import OrderRow, SeasonOrders, as_csv, see_order_list
from support.desks import done, on
from support.season_farm import season_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
PLUGS = """
    key,variety,sow_date,method,sown,plants,plant_out_date,status
    plugs,zinnia,,plugs,,130,2027-09-01,planned
    tubers,dahlia,2028-05-09,tuber,31,,,planned
    seed,cosmos,2028-04-03,cover,,,,planned
    """


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    """The season farm with its next season copied, tubers too."""
    made = open_desk(season_farm())
    done(made, lambda work: copy_season(made, work, CopyAsked(2027, ("zinnia-1", "zinnia-2", "cosmos-1", "dahlia-1"))))
    return made


def row(found: SeasonOrders, kind: str) -> OrderRow:
    return next(one for one in found.rows if one.found.crop.key == kind)


def test_the_coming_seasons_list_is_the_plan_kind_by_kind(desk: Desk) -> None:
    found = see_order_list(desk)

    assert (found.season, found.seasons) == (2028, ((2027, "2027"), (2028, "2028")))
    assert row(found, "zinnia").amount == "seed for 200 places"
    assert row(found, "zinnia").reckoning == "200 places in 2 sowings"
    assert (row(found, "dahlia").what, row(found, "dahlia").amount) == ("tubers", "4 bags of 5")
    assert row(found, "zinnia").found.order_by == date(2028, 4, 10), "a week before the first sowing"
    assert [one.found.order_by for one in found.to_order] == sorted(
        one.found.order_by or date.max for one in found.to_order
    )


def test_what_is_at_home_is_not_ordered(desk: Desk) -> None:
    on(desk, date(2027, 11, 8))
    done(desk, lambda work: tick_at_home(desk, work, TickAsked("zinnia", Needed.SEED, InHand.AT_HOME)))
    found = see_order_list(desk)

    assert row(found, "zinnia").amount == "nothing" and row(found, "zinnia") in found.at_home
    assert row(found, "zinnia").reckoning == "200 places in 2 sowings, less 200 at home or ordered"
    assert row(found, "zinnia").need.sentence.startswith("Seed of White zinnia: at home")


def test_a_tick_of_this_seasons_end_does_not_hold_for_the_next(desk: Desk) -> None:
    done(desk, lambda work: tick_at_home(desk, work, TickAsked("zinnia", Needed.SEED, InHand.AT_HOME)))
    assert row(see_order_list(desk, 2028), "zinnia").found.to_order == 200
    assert row(see_order_list(desk, 2027), "zinnia").found.to_order == 0


def test_plugs_come_by_the_tray_and_what_says_no_places_is_said(open_desk: OpenDesk) -> None:
    desk = open_desk(season_farm(batches=PLUGS))
    found = see_order_list(desk)

    assert row(found, "dahlia").amount == "7 bags of 5"
    assert row(found, "cosmos").amount == "as many as you will sow"
    assert "1 of them says no places" in row(found, "cosmos").reckoning
    (plugs,) = see_order_list(desk, 2027).rows
    assert plugs.amount == "2 trays of 125" and plugs.found.order_by == date(2027, 7, 21), (
        "six weeks before, as for zinnia"
    )


def test_what_comes_too_late_is_said_and_stands_first(open_desk: OpenDesk) -> None:
    late = PLUGS.replace("2027-09-01", "2027-07-01") + "    more,cosmos,2027-07-12,cover,50,,,planned\n"
    found = see_order_list(open_desk(season_farm(batches=late)), 2027)
    assert [(one.found.crop.key, one.found.is_late) for one in found.rows] == [("zinnia", True), ("cosmos", False)]


def test_nothing_planned_is_an_empty_list_and_a_season_without_sowings_is_refused(
    desk: Desk, open_desk: OpenDesk
) -> None:
    with pytest.raises(NotAccepted) as refused:
        see_order_list(desk, 2035)
    assert refused.value.accepted == "2027, 2028"


def test_a_farm_without_sowings_has_an_empty_list(open_desk: OpenDesk) -> None:
    found = see_order_list(open_desk(season_farm(batches="", standing_orders="", standing_lines="")))
    assert (found.rows, found.season) == ((), 2027)


def test_the_csv_says_the_same_in_figures_and_no_cell_is_a_formula(open_desk: OpenDesk) -> None:
    names = 'key,name\nzinnia,"=HYPERLINK(""http://a.example"")"\ndahlia,Dahlia\ncosmos,"Cosmos, white"'
    farm = season_farm(batches=PLUGS, varieties=names, standing_orders="", standing_lines="", customers="")
    desk = open_desk(farm)
    found = see_order_list(desk, 2028)
    rows = {one["kind"]: one for one in csv.DictReader(io.StringIO(as_csv(found)))}

    assert set(rows) == {"Dahlia", "Cosmos, white"}
    dahlia = rows["Dahlia"]
    assert (dahlia["places_planned"], dahlia["places_to_order"], dahlia["places_as_sold"], dahlia["packs"]) == (
        "31",
        "31",
        "35",
        "7",
    )
    assert (dahlia["first_sowing"], dahlia["order_by"], dahlia["too_late"]) == ("2028-05-09", "2028-05-02", "")
    text = as_csv(see_order_list(desk, 2027))
    assert "\r\n" in text and "'=HYPERLINK" in text
