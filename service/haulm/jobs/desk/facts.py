"""Frozen values as the facts of an entry, and the values that such facts were: dates as ISO text, nothing lost."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any, TypeVar

T = TypeVar("T")


def facts_of(value: Any) -> Any:
    """A frozen value as JSON knows it."""
    if is_dataclass(value):
        return {item.name: facts_of(getattr(value, item.name)) for item in fields(value)}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [facts_of(item) for item in value]
    return value


def value_of(kind: type[T], facts: Mapping[str, Any]) -> T:
    """The value that `facts_of` wrote; a member that is absent takes the value's default."""
    found: T = _read(kind, facts)
    return found


def _read(hint: Any, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(hint, types.UnionType):
        (hint,) = (kind for kind in typing.get_args(hint) if kind is not types.NoneType)
    if typing.get_origin(hint) is tuple:
        return tuple(_read(typing.get_args(hint)[0], item) for item in value)
    if is_dataclass(hint):
        assert isinstance(hint, type)
        hints = typing.get_type_hints(hint)
        return hint(**{name: _read(hints[name], item) for name, item in value.items() if name in hints})
    if hint is date:
        return date.fromisoformat(value)
    return float(value) if hint is float else value
