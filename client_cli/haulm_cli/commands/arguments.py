"""Reading arguments: dates, weeks, counts, confidence; what cannot be read is a usage error that says what could."""

from __future__ import annotations

import re
from argparse import ArgumentParser, ArgumentTypeError
from datetime import date

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def iso_date(text: str) -> str:
    """A date such as 2027-08-14."""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise ArgumentTypeError(f"'{text}' is not a date; accepted is one such as 2027-08-14") from None


def iso_week(text: str) -> str:
    """A week such as 2027-W20."""
    try:
        if re.fullmatch(r"\d{4}-W\d{2}", text, re.ASCII):
            date.fromisoformat(f"{text}-1")
            return text
    except ValueError:
        pass
    raise ArgumentTypeError(f"'{text}' is not a week; accepted is an ISO week such as 2027-W20")


def iso_week_or_day(text: str) -> str:
    """A week such as 2027-W20, or a day such as 2027-05-18."""
    try:
        return date.fromisoformat(text).isoformat() if "W" not in text.upper() else iso_week(text)
    except ValueError:
        said = f"'{text}' is neither a week nor a day; accepted is a week such as 2027-W20 or a day such as 2027-05-18"
        raise ArgumentTypeError(said) from None


def confidence(text: str) -> float:
    """A confidence such as 0.8 or 80%."""
    try:
        value = float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
    except ValueError:
        value = -1.0
    if not 0 < value <= 1:
        raise ArgumentTypeError(f"'{text}' is not a confidence; accepted is one such as 0.8 or 80%")
    return value


def count(text: str) -> int:
    """A whole number, 0 or more."""
    if not re.fullmatch(r"\d{1,9}", text, re.ASCII):
        raise ArgumentTypeError(f"'{text}' is not a count; accepted is a whole number such as 40")
    return int(text)


def some(text: str) -> int:
    """A whole number, 1 or more."""
    value = count(text)
    if value == 0:
        raise ArgumentTypeError("0 is too few; accepted is a whole number from 1 up")
    return value


def named_count(text: str) -> tuple[str, int]:
    """A name and a count such as `lagurus=40`; the last equals sign divides them."""
    name, _, number = text.rpartition("=")
    if not name.strip():
        raise ArgumentTypeError(f"'{text}' has no count; accepted is a name and a count such as lagurus=40")
    return name.strip(), some(number.strip())


def add_confidence(parser: ArgumentParser) -> None:
    """The option every command about promises shares."""
    parser.add_argument("--confidence", type=confidence, metavar="P", help="how sure, e.g. 0.8 (default: the farm's)")
