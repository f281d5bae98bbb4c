"""Reading a reply with tolerance: unknown fields are ignored, missing ones are shown as `-`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date

Fields = Mapping[str, object]

MISSING = "-"
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# A space at which no line is broken; it is printed as a plain one.
TOGETHER = "\N{NO-BREAK SPACE}"
# Digits after the point, where not two: ISO 4217 (from memory).
_DIGITS = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI"), 0),
    **dict.fromkeys(("VND", "VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}


def items(body: Fields, name: str) -> list[Fields]:
    """The objects in a list field; an absent field is an empty list."""
    value = body.get(name)
    return [item for item in value if isinstance(item, Mapping)] if isinstance(value, list) else []


def strings(body: Fields, name: str) -> list[str]:
    """The values of a list field as texts; a lone value counts as a list of one."""
    value = body.get(name)
    if value is None or value == "":
        return []
    return [plain(item) for item in value] if isinstance(value, list) else [plain(value)]


def text(item: Fields, *names: str) -> str:
    """The first of the named fields that is there, as text."""
    return next((plain(item[name]) for name in names if item.get(name) not in (None, "", [])), MISSING)


def plain(value: object) -> str:
    """A value as one line of text without control characters, so that no name can steer a terminal."""
    match value:
        case None:
            return MISSING
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.1f}".removesuffix(".0")
        case list():
            return ", ".join(plain(item) for item in value) or MISSING
        case Mapping():
            return ", ".join(f"{key} {plain(part)}" for key, part in value.items()) or MISSING
    return "".join(character if character.isprintable() else " " for character in str(value))


def day(item: Fields, name: str) -> str:
    """A day in words, Thu 18 Mar 2027; as it came where it is none."""
    value = item.get(name)
    try:
        found = date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        found = None
    if found is None:
        return text(item, name)
    return f"{_DAYS[found.weekday()]} {found.day} {_MONTHS[found.month - 1]} {found.year}"


def number(item: Fields, name: str) -> float | None:
    """A field as a number, or None where it is not one."""
    value = item.get(name)
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def percent(value: object) -> str:
    """A share in whole percent, rounded down as the service rounds it; neither package imports the other."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        return MISSING
    if 0 < value < 0.01:
        return "<1 %"
    return f"{math.floor(value * 100 + 1e-9)} %"


def percents(before: object, after: object) -> str:
    """Two shares as `71 % -> 80 %`; with one decimal where whole percent would hide what differs."""
    return " -> ".join(percent_pair(before, after))


def percent_pair(before: object, after: object) -> tuple[str, str]:
    """The same, each by itself."""
    whole = (percent(before), percent(after))
    if whole[0] == whole[1] and isinstance(before, int | float) and isinstance(after, int | float) and before != after:
        return _tenths(before), _tenths(after)
    return whole


def _tenths(share: float) -> str:
    return "<0.1 %" if 0 < share < 0.001 - 1e-9 else f"{math.floor(share * 1000 + 1e-9) / 10:.1f} %"


def money(value: object, currency: object) -> str:
    """Minor units as money; without a currency the minor units are shown as such."""
    if isinstance(value, bool) or not isinstance(value, int):
        return MISSING
    if not isinstance(currency, str) or not currency:
        return f"{value} minor units"
    code = plain(currency).upper()
    digits = _DIGITS.get(code, 2)
    whole, part = divmod(abs(value), 10**digits)
    sign = "-" if value < 0 else ""
    return f"{sign}{whole}.{part:0{digits}d} {code}" if digits else f"{sign}{whole} {code}"


def sources(item: Fields) -> str:
    """Where a line's stems come from: stems and ready date of each part, and the product where it is another one."""
    return ", ".join(_source(part, text(item, "product")) for part in items(item, "from")) or MISSING


def _source(part: Fields, asked: str) -> str:
    product = text(part, "product")
    words = [text(part, "stems"), *([] if product == asked else [product]), "of", text(part, "ready_date")]
    return TOGETHER.join(words)
