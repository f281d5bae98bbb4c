"""Money as people read it: minor units of a currency, exactly."""

from __future__ import annotations

from decimal import Decimal

from babel.numbers import format_currency, get_currency_precision

_LOCALE = "en_GB"


def money_words(minor: int, currency: str) -> str:
    """An amount of minor units with its currency: `EUR 12.50` as people write it, never by way of a float."""
    amount = Decimal(minor).scaleb(-get_currency_precision(currency))
    return str(format_currency(amount, currency, locale=_LOCALE))
