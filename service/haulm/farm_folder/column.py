"""What a column and a file of the farm folder are, and how the usual sorts of column are made."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from haulm.farm.limits import NUMBERS
from haulm.farm_folder.kinds import KEY_CELL, Kind, decimal, whole


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name (that of the noun's field), kind, meaning with its unit, and what stands where it is empty.

    `otherwise` says it in words where the code's default is nothing. A `rare` column is written only where
    a row uses it.
    """

    name: str
    kind: Kind
    meaning: str
    otherwise: str = "none"
    rare: bool = False


@dataclass(frozen=True)
class FileSpec:
    """One CSV file: the collection of a Farm it holds, the noun of a row, and its columns in canonical order."""

    collection: str
    noun: type[Any]
    columns: tuple[Column, ...]

    @property
    def name(self) -> str:
        """The name of the file."""
        return f"{self.collection}.csv"

    @cached_property
    def header(self) -> tuple[str, ...]:
        """The column names in canonical order."""
        return tuple(column.name for column in self.columns)

    @cached_property
    def required(self) -> frozenset[str]:
        """The columns that must be there and filled in."""
        return frozenset(self.header) - frozenset(self.defaults)

    @cached_property
    def defaults(self) -> dict[str, Any]:
        """What stands where a column is absent or empty: the noun's own default."""
        fields = dataclasses.fields(self.noun)
        return {field.name: field.default for field in fields if field.default is not dataclasses.MISSING}

    @cached_property
    def fields(self) -> tuple[Column, ...]:
        """The columns in the order of the noun's fields."""
        by_name = {column.name: column for column in self.columns}
        return tuple(by_name[field.name] for field in dataclasses.fields(self.noun))


def whole_column(collection: str, name: str, meaning: str, otherwise: str = "none") -> Column:
    """A whole number within the limits of its collection."""
    return Column(name, whole(NUMBERS[collection][name]), meaning, otherwise)


def decimal_column(collection: str, name: str, meaning: str, otherwise: str = "none") -> Column:
    """A number within the limits of its collection."""
    return Column(name, decimal(NUMBERS[collection][name]), meaning, otherwise)


def key_column(meaning: str) -> Column:
    """The key of a row."""
    return Column("key", KEY_CELL, meaning)
