"""What a cell of somebody's own sheet says: days, numbers and amounts as people write them, with units in words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?")
_NUMERIC = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2?(?:(\d{4}|\d{2}))?")
_WORDED = re.compile(r"(?:[a-z]+,? )?(\d{1,2})(?:st|nd|rd|th)?[ .-]*([a-z]{3,9})\.?,?[ .-]*(\d{4}|\d{2})?")
_AMERICAN = re.compile(r"(?:[a-z]+,? )?([a-z]{3,9})\.?[ -]*(\d{1,2})(?:st|nd|rd|th)?,?[ -]*(\d{4}|\d{2})?")
_NUMBER = re.compile(
    r"(?P<before>[^\d+.,-]*?) *(?P<number>[+-]?\d[\d., '\u00a0\u202f]*|[+-]?[.,]\d+) *(?P<after>[^\d]*)"
)
_THOUSANDS = re.compile(r"\d{1,3}([.,])\d{3}")
CENTURY = 2000
FEET_M, INCHES_CM = 0.3048, 2.54


class DateOrder(StrEnum):
    """Which number of a day such as 5/4/27 is the day."""

    DAY = "day"
    MONTH = "month"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit it was written with, in small letters; empty where it has none."""

    number: float
    unit: str


def date_order(cells: Iterable[str]) -> DateOrder | None:
    """What the days of a column tell of their order; None where none of them tells, or they contradict each other."""
    found: set[DateOrder] = set()
    for cell in cells:
        match = _NUMERIC.fullmatch(cell.strip())
        if match is None:
            continue
        first, sign, second = int(match[1]), match[2], int(match[3])
        if first > 12 or sign == ".":
            found.add(DateOrder.DAY)
        elif second > 12:
            found.add(DateOrder.MONTH)
    return found.pop() if len(found) == 1 else None


def asks_for_order(cells: Iterable[str]) -> bool:
    """Whether a column holds days that could be read either way."""
    matches = [_NUMERIC.fullmatch(cell.strip()) for cell in cells]
    return any(m is not None and int(m[1]) <= 12 and int(m[3]) <= 12 and m[1] != m[3] for m in matches)


def day_of(cell: str, *, order: DateOrder | None, year: int) -> date | None:
    """The day that a cell names; None where it names none, or could be two and nobody said which.

    Args:
        cell: as it was written.
        order: what comes first where both are numbers.
        year: the year of days without one.
    """
    text = cell.strip().casefold()
    try:
        if (match := _ISO.fullmatch(text)) is not None:
            return date(int(match[1]), int(match[2]), int(match[3]))
        if (match := _NUMERIC.fullmatch(text)) is not None:
            return _numeric(match, order, year)
        if (match := _WORDED.fullmatch(text)) is not None and (month := _month(match[2])):
            return date(_year(match[3], year), month, int(match[1]))
        if (match := _AMERICAN.fullmatch(text)) is not None and (month := _month(match[1])):
            return date(_year(match[3], year), month, int(match[2]))
    except ValueError:
        return None
    return None


def quantity_of(cell: str) -> Quantity | None:
    """The number of a cell and its unit: `1.200,5 m`, `3 trays`, `EUR 4.50`; None where it is no number."""
    match = _NUMBER.fullmatch(cell.strip().casefold())
    if match is None:
        return None
    number = _plain_number(re.sub(r"[ '\u00a0\u202f]", "", match["number"]).rstrip(".,"))
    if number is None:
        return None
    return Quantity(number, " ".join(f"{match['before']} {match['after']}".replace(".", " ").split()))


def is_two_numbers(cell: str) -> bool:
    """Whether a number could be a thousand or a fraction: `1,200` and `1.200`."""
    match = _NUMBER.fullmatch(cell.strip().casefold())
    return match is not None and _THOUSANDS.fullmatch(match["number"].strip()) is not None


def _numeric(match: re.Match[str], order: DateOrder | None, year: int) -> date | None:
    first, sign, second = int(match[1]), match[2], int(match[3])
    if first > 12 or sign == ".":
        order = DateOrder.DAY
    elif second > 12:
        order = DateOrder.MONTH
    elif first != second and order is None:
        return None
    day, month = (second, first) if order is DateOrder.MONTH else (first, second)
    return date(_year(match[4], year), month, day)


def _plain_number(text: str) -> float | None:
    """A number with commas and points: of both the later is the decimal mark, of one alone a group of three is none."""
    marks = [sign for sign in text if sign in ".,"]
    if len(set(marks)) == 2:
        decimal = marks[-1]
        text = text.replace("," if decimal == "." else ".", "").replace(decimal, ".")
    elif len(marks) > 1 or _THOUSANDS.fullmatch(text.lstrip("+-")):
        text = text.replace(",", "").replace(".", "")
    else:
        text = text.replace(",", ".")
    try:
        return float(text)
    except ValueError:
        return None


def _month(word: str) -> int | None:
    return next((at for at, name in enumerate(_MONTHS, start=1) if word.startswith(name)), None)


def _year(text: str | None, year: int) -> int:
    if text is None:
        return year
    return int(text) if len(text) == 4 else CENTURY + int(text)
