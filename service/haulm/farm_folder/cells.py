"""One row by itself, as named values: what a form or a JSON body gives, and what it is shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.faults import Fault, quoted
from haulm.farm.row_checks import row_faults
from haulm.farm_folder.column import Column, FileSpec
from haulm.farm_folder.columns import FILES
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.kinds import number_text

SPEC_BY_COLLECTION: dict[str, FileSpec] = {spec.collection: spec for spec in FILES}


def row_from_values(collection: str, values: Mapping[str, object], base: object | None = None) -> Any:
    """The noun of named values; a name that is left out keeps the base's value, or its default.

    Args:
        collection: the collection, such as `batches`.
        values: JSON values by column; None or an empty text stands for the default.
        base: the row that is changed, or None for a new one.

    Raises:
        FolderRefused: a name is unknown, one that must be there is missing, or a value is not accepted.
    """
    spec = SPEC_BY_COLLECTION[collection]
    faults = [
        Fault(collection, None, name, f"the unknown name {quoted(name)}", f"one of {', '.join(spec.header)}")
        for name in values
        if name not in spec.header
    ]
    found: dict[str, Any] = {}
    for column in spec.columns:
        if column.name in values or base is None:
            value, fault = _value(spec, column, values.get(column.name))
            faults += [] if fault is None else [fault]
        else:
            value = getattr(base, column.name)
        found[column.name] = value
    if not faults:
        row = spec.noun(**found)
        faults = list(row_faults(collection, [row]))
        if not faults:
            return row
    raise FolderRefused(faults=tuple(faults))


def values_of(collection: str, row: object) -> dict[str, object]:
    """A row as JSON values by column; None where nothing is said."""
    spec = SPEC_BY_COLLECTION[collection]
    return {column.name: _shown(column, getattr(row, column.name)) for column in spec.columns}


def _value(spec: FileSpec, column: Column, given: object) -> tuple[Any, Fault | None]:
    text = _cell(given)
    if text is None:
        return None, Fault(spec.collection, None, column.name, type(given).__name__, column.kind.accepted)
    if not text:
        if column.name in spec.required:
            return None, Fault(spec.collection, None, column.name, "nothing", column.kind.accepted)
        return spec.defaults.get(column.name), None
    try:
        return column.kind.parse(text), None
    except NotAccepted as refusal:
        return None, Fault(spec.collection, None, column.name, quoted(text), refusal.accepted)
    except ValueError:
        return None, Fault(spec.collection, None, column.name, quoted(text), column.kind.accepted)


def _cell(given: object) -> str | None:
    """The text of a JSON value as a cell would hold it; None for what no cell can hold."""
    match given:
        case None:
            return ""
        case bool():
            return "yes" if given else "no"
        case int():
            return str(given)
        case float():
            return number_text(given)
        case str():
            return given.strip()
        case list() if all(isinstance(item, str) for item in given):
            return "|".join(given)
        case _:
            return None


def _shown(column: Column, value: Any) -> object:
    if value is None or value == ():
        return None
    if isinstance(value, bool | int | float):
        return value
    return column.kind.text(value)
