"""Rows in the description: the place of one in a body or an answer is marked, and the mark becomes its schema."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

from pydantic import WithJsonSchema

from haulm.farm_folder.schemas import (
    Schema,
    changed_row_schema,
    new_row_schema,
    noun_of,
    page_schema,
    row_schema,
)
from haulm.jobs.farm.change_rows import KEYED, MADE_UP

PERSONAL = "customers"
"""The collection whose rows hold names: no answer about them is kept."""
NEVER_SHOWN = {PERSONAL: ("email", "phone")}
"""Columns that are written and never read back, by collection."""

QUOTED_LINE = "QuotedLine"
_BATCH_TO_SOW = "BatchToSow"
_MARK = "x-row"
_PLACE = "#/components/schemas/"


def marked(name: str) -> Schema:
    """What stands for the schema of a name until the description is put together."""
    return {_MARK: name}


BatchToSow = Annotated[dict[str, Any], WithJsonSchema(marked(_BATCH_TO_SOW))]
"""A batch by its columns that can be posted to /v1/batches as it is."""


def new_row(collection: str) -> str:
    """The name of a new row's schema."""
    return f"New{noun_of(collection)}"


def changed_row(collection: str) -> str:
    """The name of the schema of a row's changed values."""
    return f"Changed{noun_of(collection)}"


def row(collection: str) -> str:
    """The name of the schema of a row as it is answered."""
    return f"{noun_of(collection)}Row"


def page(collection: str) -> str:
    """The name of the schema of a page of rows."""
    return f"{noun_of(collection)}Page"


def any_changed_row() -> Schema:
    """Values of a row of one collection or another, or none."""
    return {"anyOf": [*(marked(changed_row(collection)) for collection in KEYED), {"type": "null"}]}


def describe_rows(description: dict[str, Any]) -> None:
    """Put the schemas of rows into a description, in the place of their marks."""
    schemas = description["components"]["schemas"]
    for name, schema in _schemas():
        assert name not in schemas, "a row's schema has a name of its own"
        schemas[name] = schema
    _replace_marks(description)


def _schemas() -> Iterator[tuple[str, Schema]]:
    for collection in KEYED:
        yield new_row(collection), new_row_schema(collection, MADE_UP.get(collection, ()))
        yield changed_row(collection), changed_row_schema(collection)
        yield row(collection), row_schema(collection, NEVER_SHOWN.get(collection, ()))
        yield page(collection), page_schema(marked(row(collection)))
    yield QUOTED_LINE, new_row_schema("order_lines", ("key", "order"))
    yield _BATCH_TO_SOW, row_schema("batches", has_version=False)


def _replace_marks(part: Any) -> None:
    inside = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    for place, value in list(inside):
        if isinstance(value, dict) and _MARK in value:
            part[place] = {"$ref": f"{_PLACE}{value[_MARK]}"}
        else:
            _replace_marks(value)
