"""Money as people read it: minor units of a currency, exactly."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from babel.numbers import format_currency, get_currency_precision

_MOST_DIGITS = 18
_LOCALE = "en_GB"


def money_words(minor: int, currency: str) -> str:
    """An amount of minor units with its currency: `EUR 12.50` as people write it, never by way of a float."""
    amount = Decimal(minor).scaleb(-get_currency_precision(currency))
    return str(format_currency(amount, currency, locale=_LOCALE))


def minor_from(text: str, currency: str) -> int | str:
    """Minor units of an amount as people type it, `0.60` or `0,60`; what is no exact amount stays as it was typed."""
    try:
        amount = Decimal(text.replace(",", ".")).scaleb(get_currency_precision(currency))
    except InvalidOperation:
        return text
    # An exponent is typed in a moment and would be written out digit by digit.
    is_amount = amount.is_finite() and amount.adjusted() <= _MOST_DIGITS
    return int(amount) if is_amount and amount == amount.to_integral_value() else text


def amount_text(minor: int, currency: str) -> str:
    """Minor units as an amount that can be typed again: `0.60`."""
    places = get_currency_precision(currency)
    return f"{Decimal(minor).scaleb(-places):.{places}f}"
