"""The statements that write the farm's row, rows of collections and people; the unit of work says when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, text, update

from haulm.store.rows import COLLECTIONS, Person, Row
from haulm.store.tables.catalogue import FARMS, PEOPLE, table


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


def delete_row(connection: Connection, farm_id: int, collection: str, key: str) -> None:
    """Takes one row out."""
    rows = table(collection)
    connection.execute(delete(rows).where(rows.c.farm_id == farm_id, rows.c.key == key))


def last_position(connection: Connection, farm_id: int, collection: str) -> int:
    """The position of the last row of a collection; 0 where there is none."""
    rows = table(collection)
    found = connection.execute(select(func.max(rows.c.position)).where(rows.c.farm_id == farm_id)).scalar_one()
    return found or 0


def persons_by_customer(connection: Connection, farm_id: int) -> dict[str, int]:
    """The person of each customer."""
    customers = table("customers")
    statement = select(customers.c.key, customers.c.person).where(customers.c.farm_id == farm_id)
    return {row.key: row.person for row in connection.execute(statement)}


def person_of_customer(connection: Connection, farm_id: int, key: str) -> int | None:
    """The person of one customer; None where there is no such customer."""
    customers = table("customers")
    statement = select(customers.c.person).where(customers.c.farm_id == farm_id, customers.c.key == key)
    found: int | None = connection.execute(statement).scalar_one_or_none()
    return found


def insert_people(connection: Connection, farm_id: int, people: Sequence[Person]) -> list[int]:
    """Writes new people; gives their ids, in order."""
    if not people:
        return []
    last = connection.execute(select(func.max(PEOPLE.c.id)).where(PEOPLE.c.farm_id == farm_id)).scalar_one() or 0
    ids = list(range(last + 1, last + 1 + len(people)))
    rows = [
        {"farm_id": farm_id, "id": number, "name": person.name, "email": person.email}
        for number, person in zip(ids, people, strict=True)
    ]
    connection.execute(insert(PEOPLE), rows)
    return ids


def update_person(connection: Connection, farm_id: int, person_id: int, person: Person) -> None:
    """Writes the name and email of a person."""
    _write_person(connection, farm_id, person_id, {"name": person.name, "email": person.email, "erased_at_utc": None})


def erase_person(connection: Connection, farm_id: int, person_id: int, now: datetime) -> None:
    """Blanks a person's row; the id stays, so that entries still point at somebody."""
    _write_person(connection, farm_id, person_id, {"name": "", "email": None, "erased_at_utc": now})


def _write_person(connection: Connection, farm_id: int, person_id: int, values: Row) -> None:
    mine = (PEOPLE.c.farm_id == farm_id, PEOPLE.c.id == person_id)
    connection.execute(update(PEOPLE).where(*mine).values(**values))


def _by_column(rows: Any, values: Row) -> dict[Any, Any]:
    return {rows.c[name]: value for name, value in values.items()}
