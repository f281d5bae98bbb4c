"""Shapes derived from frozen values: fields, types and descriptions are those of the value, written down once."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Collection, Mapping
from dataclasses import is_dataclass
from datetime import datetime
from inspect import getdoc
from typing import Annotated, Any, ClassVar, Self

from pydantic import AfterValidator, ConfigDict, Field, PlainSerializer

from haulm.rest.wire import Shape

DECIMALS = 6
"""Digits behind the point of what is sent; the rest is noise of floating point."""

_Number = Annotated[float, AfterValidator(lambda value: round(value, DECIMALS))]
_Moment = Annotated[datetime, PlainSerializer(datetime.isoformat, return_type=str)]
_ATTRIBUTES = re.compile(r"\n+Attributes:\n")
_NAMED = re.compile(r"^ {4}(\w+(?:, \w+)*): ", re.M)


class Derived(Shape):
    """A shape that sends fields of a frozen value under the value's own names.

    A subclass names the value as `of`, and in `only` or `without` which of its fields are sent; fields that it declares
    itself come on top. Values inside the value get shapes of their own in the same way.
    """

    model_config = ConfigDict(from_attributes=True)

    value: ClassVar[type | None] = None
    """The value that it is derived from."""

    def __init_subclass__(
        cls, *, of: type | None = None, only: Collection[str] = (), without: Collection[str] = (), **more: Any
    ) -> None:
        super().__init_subclass__(**more)
        if of is None:
            return
        cls.value = of
        fields = {
            name: kind for name, kind in _annotated(of).items() if (not only or name in only) and name not in without
        }
        assert set(only) <= set(fields), "what is sent is there to be sent"
        cls.__annotations__ = fields | cls.__annotations__

    @classmethod
    def told(cls, value: object, **more: object) -> Self:
        """The shape of a value, with the fields that the value does not have."""
        found = {name: getattr(value, name) for name in cls.model_fields if name not in more}
        return cls.model_validate(found | more)


def old_name(new: str) -> Any:
    """A field under the name it had before there was one set of names: still sent, since nothing sent is taken away."""
    return Field(description=f"As `{new}`.", json_schema_extra={"deprecated": True})


def _shape_of(kind: type) -> type[Derived]:
    for shape in Derived.__subclasses__():
        if shape.value is kind:
            return shape
    said = {"__doc__": _ATTRIBUTES.split(getdoc(kind) or "")[0], "__module__": __name__}
    return types.new_class(f"{kind.__name__}Shape", (Derived,), {"of": kind}, lambda body: body.update(said))


def _annotated(kind: type) -> dict[str, Any]:
    """The fields of a value as those of its shape."""
    assert is_dataclass(kind), "a shape is derived from a frozen value"
    said, hints = _said_of(kind), typing.get_type_hints(kind)
    return {
        name: Annotated[_sent(hints[name]), Field(description=said.get(name))] for name in kind.__dataclass_fields__
    }


def _sent(hint: Any) -> Any:
    """What is sent of a type: shapes for values, the rest as it is."""
    inner = typing.get_args(hint)
    if isinstance(hint, types.UnionType):
        return typing.Union[tuple(_sent(kind) for kind in inner)]  # noqa: UP007 - put together while it runs
    if typing.get_origin(hint) is tuple:
        return tuple[_sent(inner[0]), ...]  # type: ignore[misc]  # put together while it runs
    if is_dataclass(hint):
        assert isinstance(hint, type)
        return _shape_of(hint)
    return {float: _Number, datetime: _Moment}.get(hint, hint)


def _said_of(kind: type) -> Mapping[str, str]:
    """What the value's own words say of each field, from the part of them that is headed `Attributes`."""
    parts = _ATTRIBUTES.split(getdoc(kind) or "")
    if len(parts) == 1:
        return {}
    _, *said = _NAMED.split(parts[1])
    return {
        name: _sentence(text) for names, text in zip(said[::2], said[1::2], strict=True) for name in names.split(", ")
    }


def _sentence(text: str) -> str:
    said = re.sub(r"\bNone\b", "null", " ".join(text.split()))
    return said[:1].upper() + said[1:]
