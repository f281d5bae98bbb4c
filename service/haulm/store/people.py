"""People: names, emails, phones and words of customers, apart from all else, so that they can be blanked at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection, func, insert, select, update

from haulm.farm.edits import Row as Noun
from haulm.farm.orders import Customer
from haulm.farm.snapshot import Farm
from haulm.store.outbox import forget_letters
from haulm.store.own_words import forget_words
from haulm.store.rows import Person, Row, person_of
from haulm.store.tables.catalogue import PEOPLE, table


def written_person(connection: Connection, farm_id: int, customer: Customer, before: Customer | None) -> int:
    """The id of a customer's person, made or brought up to date; an erased one stays so until a name is written.

    Args:
        connection: in a write transaction.
        farm_id: whose.
        customer: as it will be.
        before: as it was; None where it is new.
    """
    if before is None:
        return _insert_people(connection, farm_id, [person_of(customer)])[0]
    person = _person_id(connection, farm_id, customer.key)
    if person_of(customer) != person_of(before):
        _update_person(connection, farm_id, person, person_of(customer))
    return person


def written_people(
    connection: Connection, farm_id: int, customers: Sequence[Customer], now: datetime
) -> dict[str, int]:
    """The ids of the persons of all customers that there will be; persons of others are erased."""
    known = _persons_by_customer(connection, farm_id)
    new = [customer for customer in customers if customer.key not in known]
    ids = _insert_people(connection, farm_id, [person_of(customer) for customer in new])
    persons = {customer.key: number for customer, number in zip(new, ids, strict=True)}
    for customer in customers:
        if customer.key in known:
            persons[customer.key] = known[customer.key]
            _update_person(connection, farm_id, known[customer.key], person_of(customer))
    for person in sorted(set(known.values()) - set(persons.values())):
        _erase(connection, farm_id, person, now)
    return persons


def is_named_otherwise(noun: Noun, before: Noun) -> bool:
    """Whether a row is that of a customer who had another name or address before."""
    if not (isinstance(noun, Customer) and isinstance(before, Customer)):
        return False
    return person_of(noun) != person_of(before)


def are_lost(before: Sequence[Customer], after: Sequence[Customer]) -> bool:
    """Whether the name or address of anybody is another than before, or gone."""
    now = {customer.key: person_of(customer) for customer in after}
    return any(now.get(customer.key) != person_of(customer) for customer in before)


def erase_person(connection: Connection, farm_id: int, customer: str, now: datetime) -> None:
    """Blanks the person of a customer; the id stays, so that entries still point at somebody."""
    _erase(connection, farm_id, _person_id(connection, farm_id, customer), now)


def forget_letters_of(connection: Connection, farm_id: int, person_id: int) -> None:
    """Takes what is personal out of every letter to a person."""
    customers = table("customers")
    mine = (customers.c.farm_id == farm_id, customers.c.person == person_id)
    for customer in connection.execute(select(customers.c.key).where(*mine)).scalars().all():
        forget_letters(connection, farm_id, customer)


def without_notes(farm: Farm, customer: str) -> tuple[Noun, ...]:
    """The rows with notes about a customer, each as it is without its note."""
    own = {order.key for order in farm.standing_orders if order.customer == customer}
    changes = (replace(row, note="") for row in farm.changes if row.note and row.order in own)
    sales = (replace(row, note="") for row in farm.usual_sales if row.note and row.customer == customer)
    return (*changes, *sales)


def _persons_by_customer(connection: Connection, farm_id: int) -> dict[str, int]:
    customers = table("customers")
    statement = select(customers.c.key, customers.c.person).where(customers.c.farm_id == farm_id)
    return {row.key: row.person for row in connection.execute(statement)}


def _person_id(connection: Connection, farm_id: int, customer: str) -> int:
    customers = table("customers")
    statement = select(customers.c.person).where(customers.c.farm_id == farm_id, customers.c.key == customer)
    found: int = connection.execute(statement).scalar_one()
    return found


def _insert_people(connection: Connection, farm_id: int, people: Sequence[Person]) -> list[int]:
    if not people:
        return []
    last = connection.execute(select(func.max(PEOPLE.c.id)).where(PEOPLE.c.farm_id == farm_id)).scalar_one() or 0
    ids = list(range(last + 1, last + 1 + len(people)))
    rows = [
        {"farm_id": farm_id, "id": number, "name": person.name, "email": person.email, "phone": person.phone}
        for number, person in zip(ids, people, strict=True)
    ]
    connection.execute(insert(PEOPLE), rows)
    return ids


def _update_person(connection: Connection, farm_id: int, person_id: int, person: Person) -> None:
    told = {"name": person.name, "email": person.email, "phone": person.phone}
    _write_person(connection, farm_id, person_id, {**told, "erased_at_utc": None})


def _erase(connection: Connection, farm_id: int, person_id: int, now: datetime) -> None:
    forget_words(connection, farm_id, person_id)
    forget_letters_of(connection, farm_id, person_id)
    _write_person(connection, farm_id, person_id, {"name": "", "email": None, "phone": None, "erased_at_utc": now})


def _write_person(connection: Connection, farm_id: int, person_id: int, values: Row) -> None:
    mine = (PEOPLE.c.farm_id == farm_id, PEOPLE.c.id == person_id)
    connection.execute(update(PEOPLE).where(*mine).values(**values))
