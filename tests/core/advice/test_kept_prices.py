"""A price that was agreed holds: no later list moves it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.kept_prices import bunch_price_of, kept_price, priced_like, with_kept_price
from haulm.advice.pricing import BunchPrice, PriceList
from haulm.farm.orders import Order, OrderLine, Price, StandingLine, StandingOrder
from haulm.farm.products import Choice, Product
from haulm.farm.site import PriceRules
from haulm.farm.weeks import Week
from haulm.farm.words import OrderKind, PriceFrom, Role, Weekday
from support.forecast_builders import crop

ROSE, REED = Product("rose"), Product("reed")
CROPS = {
    "rose": crop(key="rose", role=Role.FOCAL, bunch_stems=10, price_minor=1200),
    "reed": crop(key="reed", role=Role.FOCAL, bunch_stems=5, price_minor=500),
}
STANDING = StandingOrder("weekly", "anna", Weekday.TUE, Week(2027, 20), Week(2027, 30))
DATED = Order("party", "anna", OrderKind.ONE_OFF, date(2027, 7, 20))  # week 29
LINE = StandingLine("weekly-1", "weekly", 30, ROSE)
ASKED = OrderLine("party-1", "party", 30, choice=Choice((Role.FOCAL,)))
TODAY = date(2027, 3, 1)
PRICES = st.builds(
    Price,
    st.sampled_from((ROSE, REED)),
    st.integers(1, 5000),
    st.sampled_from((None, "anna")),
    st.sampled_from((None, 40)),
    st.sampled_from((None, 5, 12)),
    st.none() | st.builds(Week, st.just(2027), st.integers(1, 52)),
)


def listed(*rows: Price, stem_minor: int = 45) -> PriceList:
    return PriceList(rows, CROPS, PriceRules(stem_minor=stem_minor))


@given(st.lists(PRICES, max_size=4), st.lists(PRICES, max_size=4), st.integers(20, 30))
def test_no_later_list_moves_the_price_that_a_line_keeps(before: list[Price], later: list[Price], week: int) -> None:
    for line, order in ((LINE, STANDING), (ASKED, DATED)):
        made = with_kept_price(line, order, listed(*before), today=TODAY)  # type: ignore[type-var]
        again = with_kept_price(made, order, listed(*later), today=date(2027, 6, 1))  # type: ignore[type-var]

        first = bunch_price_of(made, listed(*before), customer="anna", week=Week(2027, 20))
        assert again == made
        assert bunch_price_of(again, listed(*later), customer="anna", week=Week(2027, week)) == first


@pytest.mark.parametrize(
    ("today", "minor"), [(date(2027, 3, 1), 1000), (date(2027, 6, 20), 1000), (date(2027, 6, 21), 1100)]
)
def test_a_standing_line_takes_the_price_of_its_first_week_or_of_the_week_in_which_it_is_made(
    today: date, minor: int
) -> None:
    rows = listed(Price(ROSE, 1000), Price(ROSE, 1100, first_week=Week(2027, 25)))  # week 25 begins on 21 June

    made = with_kept_price(LINE, STANDING, rows, today=today)

    assert (kept_price(made), made.price_from) == (BunchPrice(minor, 10), PriceFrom.LIST)


def test_a_dated_line_takes_the_price_of_the_week_it_is_due_and_a_choice_that_of_its_dearest() -> None:
    rows = listed(Price(ROSE, 900), Price(REED, 400), Price(REED, 700, first_week=Week(2027, 29)))

    assert kept_price(with_kept_price(ASKED, DATED, rows, today=TODAY)) == BunchPrice(700, 5)
    earlier = replace(DATED, due_date=date(2027, 7, 18))
    assert kept_price(with_kept_price(ASKED, earlier, rows, today=TODAY)) == BunchPrice(900, 10)


def test_what_nobody_priced_keeps_no_price_and_one_price_for_the_whole_line_is_enough() -> None:
    free = PriceList((), {"rose": crop(key="rose", price_minor=None)}, PriceRules())
    whole = replace(ASKED, agreed_price_minor=5000)

    assert with_kept_price(LINE, STANDING, free, today=TODAY) == LINE
    assert with_kept_price(whole, DATED, listed(), today=TODAY) == whole


def test_a_price_goes_over_to_a_line_that_asks_the_same_of_however_many_stems_and_to_no_other() -> None:
    before = replace(LINE, bunch_price_minor=700, bunch_stems=10, price_from=PriceFrom.LIST)

    assert kept_price(priced_like(replace(LINE, stems=80), before)) == BunchPrice(700, 10)
    assert kept_price(priced_like(replace(LINE, product=REED), before)) is None
    assert kept_price(priced_like(replace(LINE, min_length_cm=40), before)) is None
    own = replace(LINE, bunch_price_minor=650, bunch_stems=10)
    assert priced_like(own, before) == own
