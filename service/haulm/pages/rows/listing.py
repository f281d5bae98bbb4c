"""A table as a list: searched by name, filtered by a word, in parts of 25."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote, urlencode

from haulm.evidence.seen import standing_records
from haulm.farm.cross_checks import REFERENCES
from haulm.farm.snapshot import Farm
from haulm.jobs.farm.keyless_rows import name_of
from haulm.language.words import _
from haulm.pages.rows.choice_words import words_of
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.tables import BY_COLLECTION

PART = 25
"""Rows in a part of a list."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row in a list, with the address of its page."""

    path: str
    title: str
    figures: tuple[str, ...]


def path_of(table: Table, row: Any, step: str = "row") -> str:
    """The address of a row's page, or of the page that asks before it is taken out (`out`) or ended (`end`)."""
    return f"{table.path}/{step}/{quote(name_of(row), safe='')}"


def rows_shown(farm: Farm, table: Table) -> tuple[Any, ...]:
    """The rows that a list has: records that were put right stand as they are now."""
    if table.collection == "records":
        return standing_records(farm.records)
    rows: tuple[Any, ...] = getattr(farm, table.collection)
    return rows


def rows_asked(table: Table, names: Names, asked: Mapping[str, str]) -> Sequence[Any]:
    """The rows of a list that an address asks for.

    Args:
        table: the table.
        names: the names of the farm.
        asked: `q` (a part of a name or a figure) and `only` (a word of the column to filter by).
    """
    wanted, only = asked.get("q", "").casefold(), asked.get("only", "")
    rows = [row for row in rows_shown(names.farm, table) if not only or _is_filtered(table, names, row, only)]
    if table.newest_first:
        rows.reverse()
    return rows if not wanted else [row for row in rows if wanted in _searched(line_of(table, names, row))]


def line_of(table: Table, names: Names, row: Any) -> Line:
    """A row as a line of its list."""
    listed = table.listed(names, row)
    return Line(path_of(table, row), listed.title, tuple(figure for figure in listed.figures if figure))


def address_of_parts(path: str, asked: Mapping[str, str]) -> str:
    """The address of the parts of a list, up to which part it is."""
    kept = {name: asked[name] for name in ("q", "only") if asked.get(name)}
    return f"{path}?{urlencode(kept)}&" if kept else f"{path}?"


def words_to_filter(table: Table) -> Sequence[tuple[str, str]]:
    """The words that a list can be filtered by."""
    words = words_of(table.collection, table.filter_by) if table.filter_by else None
    return [(value, _(said).partition(":")[0]) for value, said in (words or {}).items()]


def belonging(table: Table, names: Names, key: str, part: Table) -> tuple[Line, ...]:
    """The rows of a table that belong to a row of another."""
    columns = [column for name, column, target in REFERENCES if (name, target) == (part.collection, table.collection)]
    rows = [row for row in getattr(names.farm, part.collection) if getattr(row, columns[0]) == key]
    return tuple(line_of(part, names, row) for row in rows)


def _is_filtered(table: Table, names: Names, row: Any, only: str) -> bool:
    value = getattr(row, table.filter_by)
    if value is None and table.collection == "varieties":
        value = getattr(names.crops[row.key], table.filter_by)
    return str(value) == only


def _searched(line: Line) -> str:
    return " ".join((line.title, *line.figures)).casefold()


def terms_of(farm: Farm, order: str) -> str:
    """The address of the page of an order, standing or dated, where its lines and terms are changed; else nothing."""
    for table in (BY_COLLECTION["standing_orders"], BY_COLLECTION["orders"]):
        found = next((row for row in getattr(farm, table.collection) if row.key == order), None)
        if found is not None:
            return path_of(table, found)
    return ""
