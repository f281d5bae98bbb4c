"""What the tables say is what the entries say: for imports, rows, removals, the site and both books."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings

from haulm.errors import NotFound
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.store.errors import FarmEmpty
from haulm.store.journal import Promise, StemPosting, rebuilt_books, rebuilt_farm
from haulm.store.store import Store
from haulm.store.words import Account, PromiseState
from support import scale
from support.farm_strategies import farms
from support.farms import batch, customer, order, order_line, site, variety

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
FARM = Farm(
    site(),
    varieties=(variety(),),
    batches=(batch(),),
    customers=(customer("anna", name="Anna Example", email="anna@example.org"),),
    orders=(order(),),
    order_lines=(order_line(),),
)


def names_aside(farm: Farm) -> Farm:
    """The farm without personal data."""
    return replace(farm, customers=tuple(replace(row, name=row.key, email=None, phone=None) for row in farm.customers))


@given(farm=farms())
@settings(max_examples=scale.count(15, 300), suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_tables_and_entries_say_the_same_of_every_imported_farm(store: Store, farm: Farm) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(farm, over_existing=True)
        version = work.save()
    store._resident = None  # read from the tables, not from memory

    assert store.farm() == replace(farm, version=version)
    assert rebuilt_farm(store.entries(after=version - 1)) == names_aside(store.farm())


def test_tables_and_entries_say_the_same_after_every_kind_of_write(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(FARM)
        work.put(batch("b2"))
        work.save()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        seq = work.enter("quote-held", "orders/wedding", {"until": "2027-06-01"})
        work.put(replace(FARM.order_lines[0], stems=9), entry=seq)
        work.promise(Promise("wedding-1", FARM.orders[0].due_date, "wedding", PromiseState.HELD, 9, 0.8), entry=seq)
        work.post(StemPosting("p1", Product("lagurus"), "b1", Account.FIELD, Account.CUT, 40), entry=seq)
        work.save()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.site(site(condition_days=3))
        work.remove("batches", "b1")
        work.put(batch("b1", plants=3))
        work.erase_person("anna")
        work.save()

    entries = store.entries()
    assert rebuilt_farm(entries) == names_aside(store.farm())
    assert rebuilt_books(entries).promises == store.promises()
    assert rebuilt_books(entries).balances == store.stem_balances()


def test_a_row_joins_the_entry_it_is_given_or_makes_one_of_its_own(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(FARM)
        seq = work.enter("batch-planned", "batches/b3", {"why": "a gap"})
        assert work.next_seq == seq + 1
        work.put(batch("b2"))
        work.put(batch("b3"), entry=seq)
        work.save()

    first, second, third = store.entries()
    assert (first.kind, third.kind, third.subject) == ("farm-imported", "row-written", "batches/b2")
    assert (second.kind, second.subject, second.facts) == ("batch-planned", "batches/b3", {"why": "a gap"})
    assert [change["rows"][0][0] for change in second.body["changes"]] == ["b3"]
    assert (second.seq, second.version, second.at_utc, second.actor, second.corrects) == (2, 1, NOW, "owner", None)


def test_entries_are_paged_by_their_place(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        for number in range(5):
            work.enter("noted", f"note/{number}")
        work.save()

    assert [entry.seq for entry in store.entries(after=1, limit=2)] == [2, 3]
    assert [entry.seq for entry in store.entries(after=4)] == [5]


def test_a_correction_points_back_at_an_entry_that_is_there(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        seq = work.enter("list-confirmed", "2027-05-24")
        work.save()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.enter("list-undone", "2027-05-24", corrects=seq)
        with pytest.raises(NotFound):
            work.enter("list-undone", "2027-05-24", corrects=3)
        work.save()

    assert [entry.corrects for entry in store.entries()] == [None, seq]


def test_the_last_entry_about_something_is_found(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        for day in ("2027-05-24", "2027-05-31", "2027-05-24"):
            work.enter("list-confirmed", day)
        assert work.last_entry("list-confirmed", "2027-05-24") is None
        work.save()

    found = store.last_entry("list-confirmed", "2027-05-24")
    assert found is not None and found.seq == 3
    with store.unit_of_work(actor="owner", now=NOW) as work:
        assert work.last_entry("list-confirmed", "2027-05-24") == found
        assert work.last_entry("list-undone", "2027-05-24") is None


def test_entries_without_a_farm_give_no_farm() -> None:
    with pytest.raises(FarmEmpty):
        rebuilt_farm(())
