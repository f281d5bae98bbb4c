"""The price of an order, against decimal arithmetic."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.pricing import line_price, order_price
from haulm.farm.site import PriceRules

MINOR = st.integers(0, 10_000)


def rounded(amount: Decimal) -> int:
    """Whole minor units, halves away from nought."""
    return int(amount.quantize(Decimal(1), ROUND_HALF_UP))


@given(
    lines=st.lists(st.tuples(st.integers(0, 500), st.integers(0, 100), MINOR, st.sampled_from([1, 2, 4, 5, 10, 25]))),
    minutes=st.integers(0, 5_000),
    rules=st.builds(
        PriceRules,
        labour_minor_per_hour=MINOR,
        delivery_minor=MINOR,
        tax_percent=st.integers(0, 400).map(lambda quarter: quarter / 4),
    ),
    more=MINOR,
)
def test_the_parts_are_those_of_decimal_arithmetic_and_add_up(
    lines: list[tuple[int, int, int, int]], minutes: int, rules: PriceRules, more: int
) -> None:
    found = order_price(
        [line_price(stems, spare, Fraction(price, bunch)) for stems, spare, price, bunch in lines],
        minutes,
        rules,
        more_minor=more,
    )

    both = sum(rounded(Decimal(stems + spare) * price / bunch) for stems, spare, price, bunch in lines)
    # Sixtieths do not end in decimals: doubled, halves are told exactly.
    labour = (minutes * rules.labour_minor_per_hour * 2 + 60) // 120
    before = both + labour + rules.delivery_minor + more
    total = rounded(before * (1 + Decimal(str(rules.tax_percent)) / 100))
    assert (found.stems_minor + found.spare_minor, found.labour_minor, found.total_minor) == (both, labour, total)
    assert before + found.tax_minor == total
