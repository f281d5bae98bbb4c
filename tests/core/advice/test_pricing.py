"""What stems cost, exactly."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.pricing import PriceList, answering, whole_minor, with_tax
from haulm.farm.orders import Price
from haulm.farm.products import Choice, Product
from haulm.farm.site import PriceRules
from haulm.farm.weeks import Week
from haulm.farm.words import Form, Role
from support.forecast_builders import crop

ROSE = crop(key="rose", role=Role.FOCAL, colour="pink", bunch_stems=10, price_minor=1200, dried_price_minor=1500)
REED = crop(key="reed", role=Role.FOCAL, colour="white", bunch_stems=3, price_minor=None)
CROPS = {"rose": ROSE, "reed": REED}
W20, W30 = Week(2027, 20), Week(2027, 30)
RULES = PriceRules(stem_minor=45, tax_percent=6)


def price_list(*rows: Price) -> PriceList:
    return PriceList(rows, CROPS, RULES)


def price(customer: str | None = None, length_cm: int | None = None, minor: int = 1000) -> Price:
    return Price(Product("rose"), minor, customer, length_cm, 10)


def test_a_stem_costs_its_share_of_the_varietys_bunch_in_its_form() -> None:
    assert price_list().stem_price(Product("rose"), customer=None, week=W20) == 120
    assert price_list().stem_price(Product("rose", Form.DRIED), customer=None, week=W20) == 150


def test_a_stem_nobody_priced_costs_the_farms_price_of_any_stem() -> None:
    assert price_list().stem_price(Product("reed"), customer=None, week=W20) == 45


def test_thirds_of_a_cent_are_kept() -> None:
    row = Price(Product("reed"), 100)
    assert price_list(row).stem_price(Product("reed"), customer=None, week=W20) == Fraction(100, 3)


def test_a_customers_own_price_outranks_a_longer_length_and_a_longer_length_the_rest() -> None:
    rows = price_list(price(minor=1000), price(length_cm=50, minor=1400), price("anna", minor=900))
    assert rows.stem_price(Product("rose"), customer="anna", week=W20, length_cm=60) == 90
    assert rows.stem_price(Product("rose"), customer="ben", week=W20, length_cm=60) == 140
    assert rows.stem_price(Product("rose"), customer="ben", week=W20, length_cm=40) == 100


def test_of_rows_for_the_same_the_latest_that_has_begun_counts() -> None:
    always, later, last = price(), replace(price(minor=1100), first_week=W20), replace(price(minor=900), first_week=W30)
    rows = price_list(last, always, later)

    def in_week(number: int) -> Fraction:
        return rows.stem_price(Product("rose"), customer=None, week=Week(2027, number))

    assert [in_week(week) for week in (19, 20, 29, 30, 52)] == [100, 110, 110, 90, 90]
    assert rows.stem_price(Product("rose"), customer=None, week=None) == 100


def test_a_row_that_has_not_begun_leaves_the_varietys_own_price() -> None:
    rows = price_list(replace(price("anna"), first_week=W30))

    assert rows.stem_price(Product("rose"), customer="anna", week=W20) == 120
    assert rows.stem_price(Product("rose"), customer="anna", week=W30) == 100


def dearest(choice: Choice) -> Fraction:
    return price_list().dearest(answering(choice, CROPS), customer=None, week=W20).stem


def test_a_choice_costs_the_dearest_that_answers_it() -> None:
    assert dearest(Choice((Role.FOCAL,))) == 120
    assert dearest(Choice((Role.FOCAL,), ("white",))) == 45
    assert dearest(Choice((Role.FILLER,))) == 45


def test_what_a_customer_will_not_take_answers_nothing() -> None:
    assert answering(Choice((Role.FOCAL,), without=("rose",)), CROPS) == (Product("reed"),)


@given(minor=st.integers(-(10**6), 10**6), parts=st.integers(1, 50))
def test_whole_amounts_are_the_nearest_and_halves_go_away_from_nought(minor: int, parts: int) -> None:
    amount = Fraction(minor, parts)
    found = whole_minor(amount)
    assert abs(found - amount) <= Fraction(1, 2)
    assert whole_minor(-amount) == -found


def test_tax_is_added_in_whole_minor_units() -> None:
    assert with_tax(1050, RULES) == 1113
    assert with_tax(1055, RULES) == 1118
