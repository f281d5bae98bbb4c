"""Names and emails live in one table, and can be blanked there for good."""

import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from haulm.errors import NotFound
from haulm.farm.orders import Customer
from haulm.farm.snapshot import Farm
from haulm.store.engine import reading
from haulm.store.store import Store
from haulm.store.tables.catalogue import METADATA, PEOPLE
from support.farms import customer, order, site

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
ANNA = customer("k1", name="Anna Example", email="anna@example.org")
FARM = Farm(site(), customers=(ANNA, customer("k2", name="Ben")), orders=(order(customer="k1"),))


def imported(store: Store, farm: Farm = FARM) -> None:
    """Puts a farm in the store, over whatever is there."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(farm, over_existing=True)
        work.save()


def people(store: Store) -> list[tuple[int, str, str | None, bool]]:
    """Everybody in the table: id, name, email, whether erased."""
    statement = select(PEOPLE.c.id, PEOPLE.c.name, PEOPLE.c.email, PEOPLE.c.erased_at_utc).order_by(PEOPLE.c.id)
    with reading(store._engine) as connection:
        return [(row.id, row.name, row.email, row.erased_at_utc is not None) for row in connection.execute(statement)]


def everything_else(store: Store) -> str:
    """All other tables, as text."""
    with reading(store._engine) as connection:
        tables = [table for table in METADATA.sorted_tables if table is not PEOPLE]
        rows = [[list(row) for row in connection.execute(select(table))] for table in tables]
    return json.dumps(rows, default=str)


def test_a_name_is_in_no_table_but_that_of_people(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(replace(ANNA, notice_days=5))
        work.save()

    assert people(store)[0] == (1, "Anna Example", "anna@example.org", False)
    assert "Anna" not in everything_else(store)
    assert "anna@" not in everything_else(store)


def test_erasing_blanks_the_person_and_leaves_the_orders(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.erase_person("k1")
        work.save()

    assert people(store) == [(1, "", None, True), (2, "Ben", None, False)]
    assert store.farm().customers[0] == Customer("k1", "k1")
    assert store.farm().orders == FARM.orders
    assert store.entries()[-1].kind == "person-erased"
    with store.unit_of_work(actor="owner", now=NOW) as work, pytest.raises(NotFound):
        work.erase_person("k9")


def test_somebody_erased_stays_so_when_the_customers_row_changes(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.erase_person("k1")
        work.save()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(replace(store.farm().customers[0], notice_days=9))
        work.save()

    assert people(store)[0] == (1, "", None, True)


def test_a_new_name_is_the_same_persons(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(replace(ANNA, name="Anna Other"))
        work.save()

    assert people(store)[0] == (1, "Anna Other", "anna@example.org", False)
    assert store.farm().customers[0].name == "Anna Other"


def test_another_import_keeps_whom_it_names_and_erases_the_others(store: Store) -> None:
    imported(store)
    imported(store, Farm(site(), customers=(customer("k3", name="Cleo"), replace(ANNA, name="Anna New"))))

    found = [(1, "Anna New", "anna@example.org", False), (2, "", None, True), (3, "Cleo", None, False)]
    assert people(store) == found


def test_a_removed_customer_is_erased(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.remove("customers", "k2")
        work.save()

    assert people(store)[1] == (2, "", None, True)
    assert [row.key for row in store.farm().customers] == ["k1"]
