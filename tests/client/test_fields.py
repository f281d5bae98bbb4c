"""How values are shown: confidence never flattered, money by its currency, anything else in one line."""

import pytest

from haulm_cli.fields import money, percent, percents, plain


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.8, "80 %"), (0.999, "99 %"), (0.29, "29 %"), (1, "100 %"), (0, "0 %"), (0.004, "<1 %")],
)
def test_a_confidence_is_rounded_down(value: float, shown: str) -> None:
    assert percent(value) == shown


@pytest.mark.parametrize("value", [None, "0.8", True, 80, -0.1, float("nan")])
def test_what_is_no_confidence_is_not_shown_as_one(value: object) -> None:
    assert percent(value) == "-"


@pytest.mark.parametrize(
    ("minor", "currency", "shown"),
    [(5, "GBP", "0.05 GBP"), (-1250, "EUR", "-12.50 EUR"), (1250, "VND", "1250 VND"), (1250, "KWD", "1.250 KWD")],
)
def test_money_has_the_digits_of_its_currency(minor: int, currency: str, shown: str) -> None:
    assert money(minor, currency) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [(None, "-"), (False, "no"), (12.0, "12"), (12.25, "12.2"), (["a", 1], "a, 1"), ({"a": 1}, "a 1"), ("a\tb", "a b")],
)
def test_any_value_is_shown_in_one_line(value: object, shown: str) -> None:
    assert plain(value) == shown


def test_two_shares_that_would_hide_what_differs_have_one_decimal() -> None:
    assert percents(0.5, 0.8) == "50 % -> 80 %"
    assert percents(0.719, 0.7101) == "71.9 % -> 71.0 %"
    assert percents(0.7, 0.7) == "70 % -> 70 %"
    assert percents(None, 0.7) == "- -> 70 %"
