"""Rows and nouns say the same, for every farm that the folder accepts."""

import json
from dataclasses import fields
from datetime import UTC, datetime

from hypothesis import given

from haulm.crop_library.library import crop_for
from haulm.farm.edits import COLLECTIONS as NAMES
from haulm.farm.orders import Customer, Price
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm.weeks import Week
from haulm.farm.words import LineClass
from haulm.store.journal import rebuilt_farm
from haulm.store.rows import COLLECTIONS, noun_from, person_of, plain, row_of, site_from_json, site_to_json
from haulm.store.store import Store
from haulm.store.tables.catalogue import table
from support.farm_strategies import farms, sites
from support.farms import customer, site

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
OF_EVERY_ROW = {"farm_id", "key", "position", "row_version"}


@given(farms())
def test_a_row_gives_its_noun_back_from_columns_and_from_json(farm: Farm) -> None:
    for name, collection in COLLECTIONS.items():
        for noun in getattr(farm, name):
            row = row_of(noun)
            person = person_of(noun) if isinstance(noun, Customer) else None
            written = json.loads(json.dumps(plain(row)))
            assert noun_from(collection, collection.key(noun), row, person) == noun
            assert noun_from(collection, collection.key(noun), written, person) == noun


@given(sites())
def test_the_site_comes_back_from_json(drawn: Site) -> None:
    assert site_from_json(json.loads(json.dumps(site_to_json(drawn)))) == drawn


def test_a_farm_that_was_stored_with_one_level_keeps_it_for_every_class() -> None:
    stored = site_to_json(site(default_confidence=0.8))
    del stored["levels"]
    found = site_from_json(stored)
    assert {found.level_of(one) for one in LineClass if one not in (LineClass.SPARE, LineClass.HOLD)} == {0.8}


def test_every_collection_of_the_farm_has_a_table_with_its_columns() -> None:
    assert {item.name for item in fields(Farm)} - {"site", "version"} == set(COLLECTIONS)
    for noun, name in NAMES.items():
        own = {item.name for item in fields(noun)} - {"key"}
        columns = own - {"name", "email", "phone"} | {"person"} if noun is Customer else own
        assert {column.name for column in table(name).columns} - OF_EVERY_ROW == columns


def test_prices_of_no_length_and_of_length_nought_are_two_rows() -> None:
    key = COLLECTIONS["prices"].key

    assert key(Price(Product("lagurus"), 500)) == "lagurus|||"
    assert key(Price(Product("lagurus"), 500, length_cm=0)) == "lagurus||0|"
    assert key(Price(Product("lagurus"), 500, first_week=Week(2027, 20))) == "lagurus|||2027-W20"


def test_a_customers_row_holds_neither_name_nor_email() -> None:
    row = row_of(customer("k1", name="Anna Example", email="anna@example.org"))

    assert set(row) == {"kind", "notice_days"}


def test_a_row_written_before_a_column_was_there_takes_the_default() -> None:
    found = noun_from(COLLECTIONS["beds"], "b1", {"name": "First"})

    assert (found.name, found.width_cm, found.metres) == ("First", 120.0, None)


def test_the_key_stands_for_the_name_of_somebody_erased() -> None:
    found = noun_from(COLLECTIONS["customers"], "k1", {"kind": "florist", "notice_days": 2})

    assert found == Customer("k1", "k1")


def test_weeks_that_an_earlier_release_took_are_read_as_not_given() -> None:
    collection = COLLECTIONS["varieties"]
    old = row_of(Variety("cosmos", "Cosmos")) | {"weeks_to_flower": 0.0, "harvest_weeks": 0.0}
    assert noun_from(collection, "cosmos", old) == Variety("cosmos", "Cosmos")
    kept = noun_from(collection, "cosmos", old | {"weeks_to_flower": 1.0})
    assert kept == Variety("cosmos", "Cosmos", weeks_to_flower=1.0)


def test_a_farm_with_such_weeks_opens_and_its_entries_say_what_its_tables_say(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(
            Farm(site(), varieties=(Variety("cosmos", "Cosmos", weeks_to_flower=0.0, harvest_weeks=0.0),))
        )
        work.save()
    store._resident = None  # read from the tables, not from memory

    (row,) = store.farm().varieties
    assert (row.weeks_to_flower, row.harvest_weeks) == (None, None)
    assert rebuilt_farm(store.entries()).varieties == store.farm().varieties
    assert crop_for(row).weeks_to_flower == crop_for(Variety("cosmos", "Cosmos")).weeks_to_flower
