"""Kinds of cells: how the text of a CSV cell becomes a value, how a value becomes text, and what is accepted."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any

from haulm.farm.limits import LONGEST_TEXT, MOST, NOTE_SENTENCE, TEXT_SENTENCE, Limits
from haulm.farm.moments import MOMENT_SENTENCE, parsed_moment
from haulm.farm.products import CHOICE_SENTENCE, KEY, KEY_SENTENCE, Choice, Product
from haulm.farm.row_checks import DATE_SENTENCE, FIRST_DATE, LAST_DATE
from haulm.farm.varieties import (
    LENGTHS_SENTENCE,
    STAGES_SENTENCE,
    lengths_from_text,
    lengths_text,
    stages_from_text,
    stages_text,
)
from haulm.farm.weeks import Week
from haulm.kept import answers

_CELLS_KEPT = 16_384
_WHOLE = re.compile(r"-?\d{1,10}", re.ASCII)
_DECIMAL = re.compile(r"-?\d{1,10}(\.\d{1,17})?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_KEY_PATTERN = f"^{KEY.pattern}$"
_PRODUCT_PATTERN = f"^{KEY.pattern}(:dried)?$"
_FLAGS = {"yes": True, "no": False, "true": True, "false": False, "1": True, "0": False}


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of cell.

    Attributes:
        accepted: what is accepted, in words.
        parse: value of a text that is not empty and has no blanks around it; raises ValueError or NotAccepted.
        text: text of a value.
        has_decimals: whether a decimal comma may stand in it where semicolons part the cells.
        schema: JSON Schema of a value in an answer, and in a body as it is best written.
        is_joined: whether several stand in one text, joined by '|'; a body may give them as a list of texts.
    """

    accepted: str
    parse: Callable[[str], Any]
    text: Callable[[Any], str] = str
    has_decimals: bool = False
    schema: Mapping[str, object] = field(default_factory=lambda: {"type": "string", "maxLength": LONGEST_TEXT})
    is_joined: bool = False


def whole(limits: Limits) -> Kind:
    """A whole number within limits."""
    return Kind(f"a whole number {limits.sentence}", _whole, schema={"type": "integer", **_bounds(limits)})


def decimal(limits: Limits) -> Kind:
    """A number within limits, with a decimal point where it is not whole."""
    schema = {"type": "number", **_bounds(limits)}
    return Kind(f"a number {limits.sentence}", _decimal, number_text, has_decimals=True, schema=schema)


def _bounds(limits: Limits) -> dict[str, float]:
    names = ("exclusiveMinimum", "exclusiveMaximum") if limits.is_open else ("minimum", "maximum")
    return dict(zip(names, (limits.low, limits.high), strict=True))


def word(words: type[StrEnum], only: tuple[StrEnum, ...] = ()) -> Kind:
    """One word of a closed vocabulary, or of the part of it that is accepted."""
    accepted = only or tuple(words)

    def parse(text: str) -> StrEnum:
        if text not in accepted:
            raise ValueError(text)
        return words(text)

    return Kind(
        "one of " + ", ".join(accepted), parse, schema={"type": "string", "enum": [str(one) for one in accepted]}
    )


def number_text(value: float) -> str:
    """The shortest text of a number: no exponent, no `.0` on a whole one, at most 17 decimals."""
    text = f"{Decimal(repr(value)):.17f}" if "e" in repr(value) else repr(value)
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _whole(text: str) -> int:
    if _WHOLE.fullmatch(text) is None or int(text) > MOST:
        raise ValueError(text)
    return int(text)


@answers(_CELLS_KEPT)
def _decimal(text: str) -> float:
    if _DECIMAL.fullmatch(text) is None:
        raise ValueError(text)
    return float(text) + 0.0


@answers(_CELLS_KEPT)
def _date(text: str) -> dt.date:
    if _DATE.fullmatch(text) is None:
        raise ValueError(text)
    day = dt.date.fromisoformat(text)
    if not FIRST_DATE <= day <= LAST_DATE:
        raise ValueError(text)
    return day


def _key(text: str) -> str:
    if KEY.fullmatch(text) is None:
        raise ValueError(text)
    return text


def _keys(text: str) -> tuple[str, ...]:
    return tuple(_key(part.strip()) for part in text.split("|"))


def _products(text: str) -> tuple[Product, ...]:
    return tuple(_product(part.strip()) for part in text.split("|"))


@answers(_CELLS_KEPT)
def _product(text: str) -> Product:
    return Product.parse(text)


@answers(_CELLS_KEPT)
def _choice(text: str) -> Choice:
    return Choice.parse(text)


@answers(_CELLS_KEPT)
def _week(text: str) -> Week:
    return Week.parse(text)


def _flag(text: str) -> bool:
    if text.lower() not in _FLAGS:
        raise ValueError(text)
    return _FLAGS[text.lower()]


def _flag_text(value: bool) -> str:
    return "yes" if value else "no"


def _joined(values: tuple[object, ...]) -> str:
    return "|".join(map(str, values))


def _text(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


KEY_CELL = Kind(KEY_SENTENCE, _key, schema={"type": "string", "pattern": _KEY_PATTERN})
KEYS = Kind("variety keys joined by '|'", _keys, _joined, is_joined=True)
TEXT = Kind(TEXT_SENTENCE, str, _text)
NOTE = Kind(NOTE_SENTENCE, str, _text)
DATE = Kind(DATE_SENTENCE, _date, schema={"type": "string", "format": "date"})
WEEK = Kind("an ISO week such as 2027-W20", _week, schema={"type": "string", "pattern": r"^\d{4}-W\d{2}$"})
FLAG = Kind("yes or no (true, false, 1, 0 too)", _flag, _flag_text, schema={"type": "boolean"})
PRODUCT = Kind(
    "a variety key, alone or followed by ':dried'", _product, schema={"type": "string", "pattern": _PRODUCT_PATTERN}
)
PRODUCTS = Kind("products joined by '|', best first", _products, _joined, is_joined=True)
CHOICE = Kind(CHOICE_SENTENCE, _choice)
LENGTHS = Kind(LENGTHS_SENTENCE, lengths_from_text, lengths_text, has_decimals=True)
STAGES = Kind(STAGES_SENTENCE, stages_from_text, stages_text)
MOMENT = Kind(MOMENT_SENTENCE, parsed_moment, schema={"type": "string", "format": "date-time"})
EMAIL = Kind("one email address such as anna@example.org", str, _text)
PHONE = Kind("one phone number of 3 to 15 digits such as +44 1632 960 123", str, _text)
