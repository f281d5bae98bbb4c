"""What last year suggests: lines of standing orders that are over, for the same weeks a year on, unless they stand."""

from dataclasses import replace

import pytest

from haulm.errors import NotFound
from haulm.farm.products import Product
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.farm.words import UsualSource
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.add_usual_sale import add_as_last_year
from haulm.jobs.gaps.see_usual_sales import as_last_year, see_usual_sales
from support.desks import done, on
from support.farms import farm, standing_line, standing_order

OVER = farm(
    standing_orders=(standing_order(first="2026-W20", last="2026-W35"),),
    standing_lines=(standing_line(),),
)
MAY = Week.parse("2027-W18")


def test_a_line_that_is_over_suggests_the_same_weeks_a_year_on() -> None:
    (sale,) = as_last_year(OVER, MAY)

    assert (sale.key, sale.customer, sale.stems, sale.product) == ("weekly-1", "anna", 20, Product("lagurus"))
    assert (str(sale.first_week), str(sale.last_week)) == ("2027-W19", "2027-W34")


def test_what_still_runs_or_is_hoped_for_already_is_not_suggested() -> None:
    assert as_last_year(OVER, Week.parse("2026-W35")) == ()
    weeks = Week.parse("2027-W25"), Week.parse("2027-W25")
    hoped = UsualSale("u1", UsualSource.FLORIST, 5, *weeks, Product("lagurus"), customer="anna")
    assert as_last_year(replace(OVER, usual_sales=(hoped,)), MAY) == ()
    assert len(as_last_year(replace(OVER, usual_sales=(replace(hoped, customer="bram"),)), MAY)) == 1


def test_a_suggestion_is_entered_by_one_tap_under_a_key_of_its_own_and_once(desk: Desk) -> None:
    on(desk, Week.parse("2027-W30").monday)
    (suggested,) = see_usual_sales(desk).as_last_year
    assert (suggested.row.key, suggested.who) == ("anna-1", "Studio Anna Verhoeven, last year's florist")

    done(desk, lambda work: add_as_last_year(desk, work, "anna-1"))

    found = see_usual_sales(desk)
    assert [(one.row.stems, one.row.customer, one.row.key == "anna-1") for one in found.shown] == [(25, "anna", False)]
    assert found.as_last_year == ()
    with pytest.raises(NotFound):
        done(desk, lambda work: add_as_last_year(desk, work, "anna-1"))
