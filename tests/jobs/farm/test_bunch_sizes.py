"""A bunch is the customer's own where the prices say so, else everybody's there, else the kind's."""

from haulm.farm.orders import Price
from haulm.farm.products import Product
from haulm.jobs.farm.bunch_sizes import bunch_size, customer_of
from support.farms import customer, farm, order, standing_order, variety

ASKED = Product("lagurus")


def test_without_a_price_it_is_the_kinds() -> None:
    assert bunch_size(farm(varieties=(variety(bunch_stems=15),)), ASKED, "anna") == 15


def test_a_price_for_everybody_outranks_the_kind_and_a_customers_own_outranks_both() -> None:
    prices = (
        Price(ASKED, bunch_stems=20),
        Price(ASKED, customer="anna", bunch_stems=25),
        Price(ASKED, customer="bram"),
    )
    found = farm(varieties=(variety(bunch_stems=15),), prices=prices, customers=(customer(), customer("bram")))

    assert [bunch_size(found, ASKED, who) for who in ("anna", "bram", None)] == [25, 20, 20]


def test_a_kind_that_is_not_grown_has_no_bunch() -> None:
    assert bunch_size(farm(), Product("peony"), None) is None


def test_the_customer_of_an_order_is_found_whichever_kind_of_order_it_is() -> None:
    found = farm(standing_orders=(standing_order(),), orders=(order(),))

    assert (customer_of(found, "weekly"), customer_of(found, "wedding"), customer_of(found, "none")) == (
        "anna",
        "anna",
        None,
    )
