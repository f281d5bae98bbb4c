"""Amounts of money: exact in every currency, and the same again when what is shown is typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.jobs.desk.money_words import amount_text, minor_from, money_words

CURRENCIES = ("EUR", "GBP", "JPY", "KWD")
"""With two places after the point, none, and three."""


@pytest.mark.parametrize(
    ("minor", "currency", "said"),
    [(1250, "EUR", "€12.50"), (5, "GBP", "£0.05"), (1250, "JPY", "JP¥1,250"), (1250, "KWD", "KWD1.250")],
)
def test_an_amount_is_said_with_the_places_of_its_currency(minor: int, currency: str, said: str) -> None:
    assert money_words(minor, currency) == said


def test_an_amount_too_large_for_a_float_is_said_to_the_last_cent() -> None:
    assert money_words(9_007_199_254_740_993_01, "EUR") == "€9,007,199,254,740,993.01"


@given(st.integers(-(10**15), 10**15), st.sampled_from(CURRENCIES))
def test_what_is_shown_to_be_typed_again_is_the_same_amount(minor: int, currency: str) -> None:
    shown = amount_text(minor, currency)

    assert minor_from(shown, currency) == minor
    assert minor_from(shown.replace(".", ","), currency) == minor


@pytest.mark.parametrize("typed", ["0.605", "a few", "", "1.2.3", "inf", "nan"])
def test_what_is_no_exact_amount_stays_as_it_was_typed(typed: str) -> None:
    assert minor_from(typed, "EUR") == typed
