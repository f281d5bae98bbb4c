"""Rows and nouns say the same, for every farm that the folder accepts."""

import json
from dataclasses import fields

from hypothesis import given

from haulm.farm.edits import COLLECTIONS as NAMES
from haulm.farm.orders import Customer, Price
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import LineClass
from haulm.store.rows import COLLECTIONS, noun_from, person_of, plain, row_of, site_from_json, site_to_json
from haulm.store.tables.catalogue import table
from support.farm_strategies import farms, sites
from support.farms import customer, site

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
        columns = own - {"name", "email"} | {"person"} if noun is Customer else own
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
