"""The statements that write the farm's row, and rows of collections; the unit of work says when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, text, update

from haulm.store.journal import EntryDraft
from haulm.store.own_words import Place, held_apart, keep_words, person_finder
from haulm.store.rows import COLLECTIONS, Row
from haulm.store.tables.catalogue import ENTRIES, FARMS, table


def locked_farm(connection: Connection, farm_id: int) -> tuple[int, bool]:
    """Takes the farm's row for this transaction alone; gives its version and whether it has a site."""
    wanted = select(FARMS.c.version, FARMS.c.site.is_not(None)).where(FARMS.c.id == farm_id).with_for_update()
    found = connection.execute(wanted).one_or_none()
    if found is None:
        made = text("INSERT INTO farms (id, version) VALUES (:id, 0) ON CONFLICT (id) DO NOTHING")
        connection.execute(made, {"id": farm_id})
        found = connection.execute(wanted).one()
    return found[0], found[1]


def write_farm(connection: Connection, farm_id: int, values: Row) -> None:
    """Writes columns of the farm's row."""
    connection.execute(update(FARMS).where(FARMS.c.id == farm_id).values(**values))


def versions(version: int, entries: Iterable[EntryDraft]) -> Row:
    """The columns of the farm's row that a version writes: whether it changes what a match reads, or that stays."""
    columns = ("version", "changed_version") if any(one.is_matched for one in entries) else ("version",)
    return dict.fromkeys(columns, version)


def clear_rows(connection: Connection, farm_id: int) -> None:
    """Takes out every row of every collection; people stay."""
    for name in COLLECTIONS:
        connection.execute(delete(table(name)).where(table(name).c.farm_id == farm_id))


def insert_rows(connection: Connection, collection: str, rows: Sequence[Row]) -> None:
    """Writes new rows, all at once."""
    if rows:
        connection.execute(insert(table(collection)), list(rows))


def update_row(connection: Connection, farm_id: int, collection: str, key: str, values: Row) -> None:
    """Writes columns of one row."""
    rows = table(collection)
    connection.execute(
        update(rows).where(rows.c.farm_id == farm_id, rows.c.key == key).values(_by_column(rows, values))
    )


def arrange_rows(connection: Connection, farm_id: int, collection: str, keys: Sequence[str]) -> None:
    """Numbers rows in the order of their keys."""
    rows = table(collection)
    for position, key in enumerate(keys, start=1):
        mine = (rows.c.farm_id == farm_id, rows.c.key == key)
        connection.execute(update(rows).where(*mine).values(position=position))


def delete_row(connection: Connection, farm_id: int, collection: str, key: str) -> None:
    """Takes one row out."""
    rows = table(collection)
    connection.execute(delete(rows).where(rows.c.farm_id == farm_id, rows.c.key == key))


def last_position(connection: Connection, farm_id: int, collection: str) -> int:
    """The position of the last row of a collection; 0 where there is none."""
    rows = table(collection)
    found = connection.execute(select(func.max(rows.c.position)).where(rows.c.farm_id == farm_id)).scalar_one()
    return found or 0


def write_entries(connection: Connection, rows: Sequence[Row]) -> None:
    """Adds entries of one farm to the journal, what is somebody's words apart from them."""
    farm_id = rows[0]["farm_id"]
    person_of = person_finder(connection, farm_id)
    bare, words = list[Row](), list[tuple[int, Place, int, str]]()
    for row in rows:
        body, found = held_apart(row, person_of)
        bare.append({**row, "body": body})
        words += [(row["seq"], *one) for one in found]
    connection.execute(insert(ENTRIES), bare)
    keep_words(connection, farm_id, words)


def _by_column(rows: Any, values: Row) -> dict[Any, Any]:
    return {rows.c[name]: value for name, value in values.items()}
