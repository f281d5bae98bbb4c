"""Rows as JSON Schema, made from the columns: what a body may say of a row, and what an answer says."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from haulm.farm_folder.cells import SPEC_BY_COLLECTION
from haulm.farm_folder.column import Column, FileSpec
from haulm.farm_folder.kinds import FLAG, NOTE, TEXT

Schema = dict[str, Any]

_VERSION: Schema = {"type": "integer", "description": "The farm's version that wrote the row last."}
_AS_CELLS = "A value may also be the text that a cell of the file would hold; null stands for what an empty cell does."


def noun_of(collection: str) -> str:
    """The name of one row of a collection, such as `StandingOrder`."""
    return SPEC_BY_COLLECTION[collection].noun.__name__


def new_row_schema(collection: str, given: Collection[str] = ()) -> Schema:
    """A new row as a body gives it; of the columns that must be there, the `given` ones may be left out."""
    spec = SPEC_BY_COLLECTION[collection]
    required = [name for name in spec.header if name in spec.required and name not in given]
    described = f"A new row of {spec.name}. {_AS_CELLS}"
    return _object(described, ((one.name, _read(spec, one)) for one in spec.columns), required, is_closed=True)


def changed_row_schema(collection: str) -> Schema:
    """The values of a row that a body changes; what it does not name stays."""
    spec = SPEC_BY_COLLECTION[collection]
    described = f"Values of a row of {spec.name}; what is not named stays. {_AS_CELLS}"
    return _object(described, ((one.name, _read(spec, one)) for one in spec.columns), (), is_closed=True)


def row_schema(collection: str, unsaid: Collection[str] = (), *, has_version: bool = True) -> Schema:
    """A row as an answer gives it, every column but the `unsaid` ones, each null where nothing is said."""
    spec = SPEC_BY_COLLECTION[collection]
    shown = {one.name: _shown(spec, one) for one in spec.columns if one.name not in unsaid}
    if has_version:
        shown["version"] = _VERSION
    return _object(f"A row of {spec.name}.", shown.items(), list(shown))


def page_schema(row: Mapping[str, object]) -> Schema:
    """A page of rows; `next` asks for the page after it, null on the last."""
    of: dict[str, Schema] = {"rows": {"type": "array", "items": dict(row)}, "next": {"type": ["string", "null"]}}
    return _object("A page of rows; `next` asks for the page after it, null on the last.", of.items(), list(of))


def _object(
    described: str, properties: Iterable[tuple[str, Schema]], required: Iterable[str], *, is_closed: bool = False
) -> Schema:
    found: Schema = {"type": "object", "description": described, "properties": dict(properties)}
    if named := list(required):
        found["required"] = named
    return {**found, "additionalProperties": False} if is_closed else found


def _read(spec: FileSpec, column: Column) -> Schema:
    may_be_empty = column.name not in spec.required
    found = _or_null(column.kind.schema, may_be_empty)
    if column.kind.is_joined:
        found = {"anyOf": [dict(found), {"type": "array", "items": {"type": "string"}}]}
    return {**found, "description": _meaning(spec, column)}


def _shown(spec: FileSpec, column: Column) -> Schema:
    """Of what stands where a cell is empty, nothing and none of several are null."""
    return _or_null(column.kind.schema, column.name in spec.defaults and spec.defaults[column.name] in (None, ()))


def _or_null(schema: Mapping[str, Any], may_be_null: bool) -> Schema:
    if not may_be_null:
        return dict(schema)
    if "enum" in schema:
        return {"anyOf": [dict(schema), {"type": "null"}]}
    return {**schema, "type": [schema["type"], "null"]}


def _meaning(spec: FileSpec, column: Column) -> str:
    """What a column means, and what is accepted where its schema does not say so."""
    words = (
        column.meaning if column.name in spec.required else f"{column.meaning}; otherwise {_otherwise(spec, column)}"
    )
    is_said = column.kind in (TEXT, NOTE, FLAG) or column.kind.schema.keys() - {"type", "maxLength"}
    return words if is_said else f"{words}. Accepted: {column.kind.accepted}."


def _otherwise(spec: FileSpec, column: Column) -> str:
    default = spec.defaults[column.name]
    return column.otherwise if default in (None, "", ()) else column.kind.text(default)
