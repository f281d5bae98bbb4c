"""A farm is founded at a place with the months and frost days that she has looked at, and can move."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from haulm.farm.site import MonthDay
from haulm.farm.words import Weekday
from haulm.farm_folder.faults import FolderRefused
from haulm.gazetteer.places import places_named
from haulm.jobs.farm.found_farm import Founding, found_farm
from haulm.jobs.farm.propose_place import ProposedPlace, propose_place
from haulm.store.store import Store
from support.desks import NOW, sqlite_store

TODAY = date(2027, 3, 1)
DAYS = (Weekday.MON, Weekday.THU)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    found = sqlite_store(tmp_path)
    yield found
    found.close()


def proposed(name: str) -> ProposedPlace:
    return propose_place(places_named(name)[0].number, TODAY)


def said(found: ProposedPlace, **more: object) -> Founding:
    founding = Founding("Evening field", "GBP", found.climate.min_c, found.climate.max_c, DAYS)
    return replace(founding, **more)  # type: ignore[arg-type]  # a test names its fields


def founded(store: Store, found: ProposedPlace, founding: Founding) -> None:
    before = None if store.is_empty() else store.farm().site
    with store.unit_of_work(actor="owner", now=NOW) as work:
        found_farm(work, found, founding, before=before, today=TODAY)
        work.save()


def test_an_empty_database_becomes_a_farm_with_hours_months_and_frost_days(store: Store) -> None:
    place = proposed("Hereford")
    founded(store, place, said(place))

    site = store.farm().site
    assert (site.name, site.currency, site.timezone) == ("Evening field", "GBP", "Europe/London")
    assert site.latitude == pytest.approx(52.06, abs=0.1)
    assert site.temperatures is not None and site.temperatures.min_c == place.climate.min_c
    assert site.frost is not None and place.last_frost is not None
    assert (site.frost.last_spring_p50.month, site.frost.last_spring_p50.day) == place.last_frost.p50


def test_the_day_she_says_moves_the_early_and_the_late_year_with_it(store: Store) -> None:
    place = proposed("Hereford")
    founded(store, place, said(place, last_frost=MonthDay(5, 31)))

    frost = store.farm().site.frost
    assert frost is not None and place.last_frost is not None
    assert frost.last_spring_p50 == MonthDay(5, 31)
    off = date(2027, 5, 31) - date(2027, *place.last_frost.p50)
    assert date(2027, frost.last_spring_p90.month, frost.last_spring_p90.day) == date(2027, *place.last_frost.p90) + off
    assert (frost.first_autumn_p50.month, frost.first_autumn_p50.day) == place.first_frost.p50  # type: ignore[union-attr]


def test_a_farm_that_moves_keeps_its_rows_and_its_money_and_takes_the_hours_of_the_place(store: Store) -> None:
    founded(store, proposed("Hereford"), said(proposed("Hereford")))
    south = proposed("Orange, Australia")
    founded(store, south, said(south, currency="AUD"))

    site = store.farm().site
    assert (site.currency, site.timezone, site.latitude < 0) == ("GBP", "Australia/Sydney", True)
    assert site.frost is not None and site.frost.last_spring_p50.month in (8, 9, 10)


def test_where_winters_have_no_frost_the_farm_has_no_frost_days(store: Store) -> None:
    mild = proposed("Lisbon")
    founded(store, mild, said(mild))
    assert store.farm().site.frost is None


@pytest.mark.parametrize(
    ("more", "column"),
    [
        ({"name": ""}, "name"),
        ({"currency": "pounds"}, "currency"),
        ({"cut_days": ()}, "cut_days"),
        ({"min_c": (30.0,) * 12}, "temperatures.min_c"),
    ],
)
def test_what_cannot_be_is_refused_and_there_is_still_no_farm(
    store: Store, more: dict[str, object], column: str
) -> None:
    place = proposed("Hereford")
    with pytest.raises(FolderRefused) as refused:
        founded(store, place, said(place, **more))
    assert column in {fault.column for fault in refused.value.faults}
    assert store.is_empty()
