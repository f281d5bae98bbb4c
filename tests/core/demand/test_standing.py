"""Standing orders become one dated line a week, with that week's change."""

from dataclasses import replace
from datetime import date

from haulm.demand.standing import standing_demand
from haulm.farm.orders import Change, StandingLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import StandingStatus, Weekday

ORDER = StandingOrder("mo", "shop", Weekday.TUE, Week(2026, 52), Week(2027, 3))
LINES = (StandingLine("mo-1", "mo", 40, Product("ammi"), minimum=30), StandingLine("mo-2", "mo", 20, Product("stock")))
FARM = Farm(Site("Test", 50.0), standing_orders=(ORDER,), standing_lines=LINES)
LONG_AGO = date(2020, 1, 1)


def dues(farm: Farm, today: date = LONG_AGO) -> list[date]:
    return sorted({line.due for line in standing_demand(farm, today)})


def test_a_line_is_due_on_its_weekday_of_each_week_across_a_53_week_year() -> None:
    # 2026 has a week 53, so four Tuesdays lie between 2026-W52 and 2027-W03 plus that one.
    expected = [date(2026, 12, 22), date(2026, 12, 29), date(2027, 1, 5), date(2027, 1, 12), date(2027, 1, 19)]
    assert dues(FARM) == expected


def test_every_second_week_counts_from_the_first_week() -> None:
    farm = replace(FARM, standing_orders=(replace(ORDER, every=2),))
    assert dues(farm) == [date(2026, 12, 22), date(2027, 1, 5), date(2027, 1, 19)]


def test_what_was_due_before_today_asks_nothing_and_today_still_does() -> None:
    assert dues(FARM, date(2027, 1, 12)) == [date(2027, 1, 12), date(2027, 1, 19)]


def test_a_paused_or_ended_order_asks_nothing() -> None:
    for status in (StandingStatus.PAUSED, StandingStatus.ENDED):
        assert dues(replace(FARM, standing_orders=(replace(ORDER, status=status),))) == []


def test_a_change_to_nought_skips_that_week_only() -> None:
    farm = replace(FARM, changes=(Change("c", "mo", Week(2027, 1), 0),))
    assert date(2027, 1, 5) not in dues(farm)
    assert len(dues(farm)) == 4


def test_a_change_of_one_line_outranks_a_change_of_the_whole_order() -> None:
    changes = (Change("c1", "mo", Week(2027, 1), 10, line="mo-1"), Change("c2", "mo", Week(2027, 1), 0))
    lines = [line for line in standing_demand(replace(FARM, changes=changes), LONG_AGO) if line.due == date(2027, 1, 5)]
    assert [(line.line, line.stems) for line in lines] == [("mo-1", 10)]


def test_asking_for_less_than_the_minimum_lowers_the_minimum() -> None:
    farm = replace(FARM, changes=(Change("c1", "mo", Week(2027, 1), 10, line="mo-1"),))
    line = next(ln for ln in standing_demand(farm, LONG_AGO) if ln.due == date(2027, 1, 5) and ln.line == "mo-1")
    assert line.minimum == 10
