"""Rows and nouns: the only mapping between what the tables hold and what the house speaks.

A noun's row has a column per field, by the field's own type: dates stay dates; closed words, weeks, products and
choices are their text; a tuple of texts is joined by `|`. `plain` turns a row into values that JSON knows. A customer's
name, email and phone are not part of its row: they belong to a person.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from haulm.farm.cross_checks import IDENTITIES
from haulm.farm.edits import COLLECTIONS as NAMES
from haulm.farm.edits import Row as Noun
from haulm.farm.limits import NUMBERS, ONCE_ACCEPTED
from haulm.farm.orders import Customer
from haulm.farm.products import Choice, Product
from haulm.farm.site import Cutoff, MonthDay, Site
from haulm.farm.varieties import (
    LengthShare,
    Stage,
    lengths_from_text,
    lengths_text,
    stages_from_text,
    stages_text,
)
from haulm.farm.weeks import Week

Scalar = str | int | float | date | None
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Person:
    """The personal data of a customer; a blank name is that of somebody who was erased."""

    name: str
    email: str | None
    phone: str | None = None


@dataclass(frozen=True, slots=True)
class Collection:
    """One collection of the farm: its name (also that of its table and of its field of Farm), noun and identity."""

    name: str
    noun: type[Noun]
    identity: tuple[str, ...]

    def key(self, noun: Noun) -> str:
        """The key of a row: its own, or its natural key as text."""
        values = [getattr(noun, name) for name in self.identity]
        return "|".join("" if value is None else str(value) for value in values)


COLLECTIONS: dict[str, Collection] = {
    name: Collection(name, noun, IDENTITIES.get(name, ("key",))) for noun, name in NAMES.items()
}
_BY_NOUN = {collection.noun: collection for collection in COLLECTIONS.values()}


def collection_of(noun: Noun) -> Collection:
    """The collection that a noun belongs to."""
    return _BY_NOUN[type(noun)]


def row_of(noun: Noun) -> Row:
    """The columns of a noun's row, without those that every row has, and without personal data."""
    return {name: codec.write(getattr(noun, name)) for name, codec in _COLUMNS[collection_of(noun).name].items()}


def person_of(customer: Customer) -> Person:
    """The personal data of a customer."""
    return Person(customer.name, customer.email, customer.phone)


def noun_from(collection: Collection, key: str, row: Mapping[str, Any], person: Person | None = None) -> Noun:
    """The noun of a row.

    Args:
        collection: where the row lies.
        key: the row's key.
        row: its columns, dates as dates or as ISO text; a column that is absent takes the noun's default.
        person: for a customer, whose personal data; None or blank: the key stands for the name.
    """
    values = {name: codec.read(row[name]) for name, codec in _COLUMNS[collection.name].items() if name in row}
    for name in ONCE_ACCEPTED.get(collection.name, ()):
        # The journal is never edited, so that table and entry are read alike: as if it had not been given.
        if values.get(name) is not None and not NUMBERS[collection.name][name].hold(values[name]):
            values[name] = None
    if collection.noun is Customer:
        values["name"] = person.name if person is not None and person.name else key
        values["email"] = person.email if person is not None else None
        values["phone"] = person.phone if person is not None else None
    if collection.identity == ("key",):
        values["key"] = key
    noun: Noun = collection.noun(**values)
    return noun


def plain(row: Mapping[str, Any]) -> Row:
    """A row as JSON knows it: dates become ISO text."""
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in row.items()}


def site_to_json(site: Site) -> dict[str, Any]:
    """The site as JSON objects, lists, texts and numbers."""
    return {item.name: _to_json(getattr(site, item.name)) for item in fields(site)}


def site_from_json(value: Mapping[str, Any]) -> Site:
    """The site that `site_to_json` wrote; a member that is absent takes the noun's default."""
    site = _from_json(Site, value)
    assert isinstance(site, Site)
    return site


@dataclass(frozen=True, slots=True)
class _Codec:
    """How a value of one type is written into a column and read back (never called with None where it may be empty)."""

    write: Callable[[Any], Scalar]
    read: Callable[[Any], Any]


def _same(value: Any) -> Any:
    return value


def _read_date(value: date | str) -> date:
    return date.fromisoformat(value) if isinstance(value, str) else value


def _read_float(value: float) -> float:
    return float(value)


_TEXT_FORMS: dict[Any, Callable[[str], Any]] = {
    Product: Product.parse,
    Choice: Choice.parse,
    Week: Week.parse,
    MonthDay: MonthDay.parse,
    Cutoff: Cutoff.parse,
}
_CODECS: dict[Any, _Codec] = {
    str: _Codec(_same, _same),
    int: _Codec(_same, _same),
    bool: _Codec(_same, bool),
    float: _Codec(float, _read_float),
    date: _Codec(_same, _read_date),
    tuple[LengthShare, ...]: _Codec(lengths_text, lambda text: lengths_from_text(text) if text else ()),
    tuple[Stage, ...]: _Codec(stages_text, lambda text: stages_from_text(text) if text else ()),
    tuple[str, ...]: _Codec("|".join, lambda text: tuple(text.split("|")) if text else ()),
    tuple[Product, ...]: _Codec(
        lambda products: "|".join(str(product) for product in products),
        lambda text: tuple(Product.parse(part) for part in text.split("|")) if text else (),
    ),
    **{noun: _Codec(str, parse) for noun, parse in _TEXT_FORMS.items()},
}


def _codecs(noun: type[Any]) -> dict[str, _Codec]:
    """The codec of each column of a noun, in the order of its fields."""
    apart = {"key", "name", "email", "phone"} if noun is Customer else {"key"}
    hints = typing.get_type_hints(noun)
    return {item.name: _codec(hints[item.name]) for item in fields(noun) if item.name not in apart}


def _codec(hint: Any) -> _Codec:
    inner = _without_none(hint)
    if inner is not hint:
        codec = _codec(inner)
        return _Codec(_unless_none(codec.write), _unless_none(codec.read))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return _Codec(str, hint)
    return _CODECS[hint]


def _without_none(hint: Any) -> Any:
    """The type itself where None is allowed beside it."""
    if isinstance(hint, types.UnionType):
        (inner,) = (argument for argument in typing.get_args(hint) if argument is not types.NoneType)
        return inner
    return hint


def _unless_none(convert: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda value: None if value is None else convert(value)


def _to_json(value: Any) -> Any:
    if value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, str) or type(value) in _TEXT_FORMS:
        return str(value)
    if isinstance(value, Mapping):
        return {str(key): _to_json(item) for key, item in value.items()}
    if is_dataclass(value):
        return {item.name: _to_json(getattr(value, item.name)) for item in fields(value)}
    assert isinstance(value, Iterable), value
    return [_to_json(item) for item in value]


def _from_json(hint: Any, value: Any) -> Any:
    if value is None:
        return None
    hint = _without_none(hint)
    if hint in _TEXT_FORMS:
        return _TEXT_FORMS[hint](value)
    origin = typing.get_origin(hint)
    if origin is tuple:
        return tuple(_from_json(typing.get_args(hint)[0], item) for item in value)
    if origin is not None:
        return {key: _from_json(typing.get_args(hint)[1], item) for key, item in value.items()}
    if is_dataclass(hint):
        assert isinstance(hint, type)
        hints = typing.get_type_hints(hint)
        return hint(**{name: _from_json(hints[name], item) for name, item in value.items() if name in hints})
    return hint(value)


_COLUMNS = {name: _codecs(collection.noun) for name, collection in COLLECTIONS.items()}
