"""Frozen values of the core as JSON and back, exactly: what was worked out in the background is kept so.

A value is told by the fields of its class. What was kept under other fields is never read as if it were the same:
`shape_of` says in a few digits what a class is made of, and is kept beside it.
"""

from __future__ import annotations

import hashlib
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from haulm.kept import answers

V = TypeVar("V")
_PLAIN = (str, int, float, bool)
_CLASSES_KEPT, _SHAPE_DIGITS = 64, 12


class NotOfShape(ValueError):
    """JSON, or a value, that is not of the class that it should be."""


def as_json(kind: Any, value: object) -> Any:
    """A value of a class as JSON: an object for a frozen class, a list for a tuple, text for a day.

    Args:
        kind: its class, or a type made of classes: a tuple of one class, a class or None.
        value: the value.

    Raises:
        NotOfShape: it is not of this class, or the class holds what JSON cannot tell.
    """
    if kind in _PLAIN:
        return _plain(kind, value)
    inner = _optional(kind)
    if inner is not None:
        return None if value is None else as_json(inner, value)
    if get_origin(kind) is tuple:
        return [as_json(one, item) for one, item in zip(_kinds(kind, value), cast(Any, value), strict=True)]
    if not isinstance(value, kind):
        raise NotOfShape(f"{value!r} is no {kind.__name__}")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Enum):
        return value.value
    return {name: as_json(hint, getattr(value, name)) for name, hint in _hints(kind).items()}


def from_json(kind: type[V], found: object) -> V:
    """The value that was kept: equal to the one that `as_json` was given.

    Raises:
        NotOfShape: it is not of this class.
    """
    return cast(V, _read(kind, found))


@answers(_CLASSES_KEPT)
def shape_of(kind: type) -> str:
    """What a class is made of, as a short hash: another one as soon as a field, its type or a word of it changes."""
    return hashlib.sha256(_told(kind, ()).encode()).hexdigest()[:_SHAPE_DIGITS]


def _read(kind: Any, found: object) -> object:
    if kind in _PLAIN:
        return _plain(kind, found)
    inner = _optional(kind)
    if inner is not None:
        return None if found is None else _read(inner, found)
    if get_origin(kind) is tuple:
        return tuple(_read(one, item) for one, item in zip(_kinds(kind, found), cast(Any, found), strict=True))
    if issubclass(kind, Enum | date):
        return _word(kind, found)
    hints = _hints(kind)
    if not isinstance(found, Mapping) or set(cast(Mapping[str, Any], found)) != set(hints):
        raise NotOfShape(f"{found!r} is no {kind.__name__}")
    return kind(**{name: _read(hint, found[name]) for name, hint in hints.items()})


def _word(kind: Any, found: object) -> object:
    try:
        return kind(found) if issubclass(kind, Enum) else date.fromisoformat(cast(str, found))
    except (TypeError, ValueError) as fault:
        raise NotOfShape(f"{found!r} is no {kind.__name__}") from fault


def _plain(kind: Any, value: object) -> object:
    """A number that is whole may stand for one that need not be; nothing else stands for another."""
    is_whole = kind is float and isinstance(value, int) and not isinstance(value, bool)
    is_flag = isinstance(value, bool)
    if not is_whole and (not isinstance(value, kind) or is_flag != (kind is bool)):
        raise NotOfShape(f"{value!r} is no {kind.__name__}")
    return float(cast(float, value)) if kind is float else value


def _optional(kind: Any) -> Any:
    """The class of a type that may be None; None where it may not."""
    if get_origin(kind) not in (Union, types.UnionType):
        return None
    some = [one for one in get_args(kind) if one is not type(None)]
    if len(some) != 1:
        raise NotOfShape(f"{kind} is one of several classes")
    return some[0]


def _kinds(kind: Any, items: object) -> tuple[Any, ...]:
    """The class of each item of a tuple."""
    if not isinstance(items, tuple | list):
        raise NotOfShape(f"{items!r} is no tuple")
    count, inner = len(cast(tuple[Any, ...], items)), get_args(kind)
    if inner[-1] is Ellipsis:
        return (inner[0],) * count
    if len(inner) != count:
        raise NotOfShape(f"{items!r} has not {len(inner)} items")
    return inner


@answers(_CLASSES_KEPT)
def _hints(kind: type) -> dict[str, Any]:
    if not is_dataclass(kind):
        raise NotOfShape(f"{kind} is no frozen class")
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(kind)}


def _told(kind: Any, inside: tuple[Any, ...]) -> str:
    if kind in _PLAIN or kind is date or kind in inside:
        return cast(str, kind.__name__)
    if get_args(kind):
        parts = ", ".join("..." if one is Ellipsis else _told(one, inside) for one in get_args(kind))
        return f"{'tuple' if get_origin(kind) is tuple else 'one of'}[{parts}]"
    if kind is type(None):
        return "None"
    if issubclass(kind, Enum):
        return f"{kind.__name__}({', '.join(str(one.value) for one in kind)})"
    parts = ", ".join(f"{name}: {_told(hint, (*inside, kind))}" for name, hint in _hints(kind).items())
    return f"{kind.__name__}({parts})"
