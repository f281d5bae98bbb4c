"""A unit of work writes wholly or not at all, raises the version by one, and keeps memory and tables the same."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from haulm.errors import NotFound
from haulm.farm.orders import Recipe
from haulm.farm.snapshot import Farm
from haulm.farm.words import Role
from haulm.store.errors import FarmEmpty, FarmNotEmpty, RowNotAccepted, VersionStale
from haulm.store.journal import Promise
from haulm.store.store import Store
from haulm.store.words import PromiseState
from support.farms import batch, customer, order, order_line, site, standing_line, standing_order, variety

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
FARM = Farm(
    site(),
    varieties=(variety(), variety("ammi")),
    batches=(batch(), batch("b2", variety="ammi")),
    customers=(customer(),),
    orders=(order(),),
    order_lines=(order_line(),),
)


def imported(store: Store, farm: Farm = FARM) -> int:
    """The version after an import."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(farm)
        return work.save()


def reloaded(store: Store, url: str) -> Farm:
    """The farm as another process reads it."""
    other = Store.open(url)
    try:
        return other.farm()
    finally:
        other.close()


def test_an_imported_farm_is_read_back_with_its_rows_in_order(store: Store, url: str) -> None:
    assert store.is_empty()
    assert imported(store) == 1

    assert not store.is_empty()
    assert store.farm() == reloaded(store, url) == replace(FARM, version=1)


def test_asking_before_the_first_import_is_refused(store: Store) -> None:
    assert store.version() == 0
    with pytest.raises(FarmEmpty):
        store.farm()


def test_an_import_over_a_farm_is_refused_unless_told_so(store: Store) -> None:
    imported(store)

    with pytest.raises(FarmNotEmpty, match="Test farm"):
        imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(Farm(site(name="Other")), over_existing=True)
        assert work.save() == 2
    assert store.farm() == Farm(site(name="Other"), version=2)


def test_a_put_row_replaces_its_like_in_place_and_a_new_one_comes_last(store: Store, url: str) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b3"))
        work.put(replace(FARM.batches[0], plants=7))
        work.put(Recipe("bouquet", Role.FOCAL, 5))
        work.put(Recipe("bouquet", Role.FOCAL, 6))
        assert work.farm.batches == FARM.batches
        assert [row.key for row in work.changed_farm.batches] == ["b1", "b2", "b3"]
        work.save()

    assert store.farm() == reloaded(store, url)
    assert [(row.key, row.plants) for row in store.farm().batches] == [("b1", 7), ("b2", 100), ("b3", 100)]
    assert store.farm().recipes == (Recipe("bouquet", Role.FOCAL, 6),)


def test_a_removed_row_is_gone_and_comes_back_last(store: Store, url: str) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.remove("batches", "b1")
        work.put(batch("b1"))
        work.save()
    assert [row.key for row in store.farm().batches] == ["b2", "b1"]
    assert store.farm() == reloaded(store, url)
    with store.unit_of_work(actor="owner", now=NOW) as work, pytest.raises(NotFound, match="b9"):
        work.remove("batches", "b9")


def test_the_site_is_written_like_a_row(store: Store, url: str) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.site(site(condition_days=2))
        work.save()

    assert store.farm().site.condition_days == 2
    assert store.farm() == reloaded(store, url)


def test_leaving_without_saving_leaves_nothing(store: Store, url: str) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b3"))
    with pytest.raises(ZeroDivisionError), store.unit_of_work(actor="owner", now=NOW) as work:  # noqa: PT012
        seq = work.enter("quoted", "orders/wedding")
        work.put(batch("b3"), entry=seq)
        work.promise(Promise("wedding-1", FARM.orders[0].due_date, "wedding", PromiseState.HELD, 30, 0.8), entry=seq)
        raise ZeroDivisionError

    assert (store.version(), len(store.entries()), store.promises()) == (1, 1, ())
    assert store.farm() == reloaded(store, url) == replace(FARM, version=1)


def test_a_row_carries_the_version_that_wrote_it(store: Store) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b2", variety="ammi", plants=5), expected_row_version=1)
        work.put(batch("b3"), expected_row_version=0)
        work.save()

    assert store.row_versions("batches") == {"b1": 1, "b2": 2, "b3": 2}
    assert store.row_version("batches", "b2") == 2
    assert store.row_version("batches", "b9") is None


def test_an_entry_that_changes_no_row_promise_or_stem_leaves_what_is_matched_at_its_version(store: Store) -> None:
    assert store.changed_version() == 0
    assert imported(store) == store.changed_version() == 1
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.enter("digest-sent", "digest", {"day": "2027-05-20"})
        assert work.save() == 2
    assert (store.version(), store.changed_version()) == (2, 1)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b3"))
        work.save()
    assert store.changed_version() == 3
    with store.unit_of_work(actor="owner", now=NOW) as work:
        line = order_line()
        entry = work.enter("promised", "orders/o1")
        work.promise(Promise(line.key, order().due_date, line.order, PromiseState.HELD, line.stems), entry=entry)
        work.save()
    assert store.changed_version() == store.version() == 4


def test_a_row_that_changed_since_it_was_read_is_not_written_over(store: Store) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b1", plants=5))
        work.save()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        with pytest.raises(VersionStale, match="'b1' in batches is at version 2, not 1"):
            work.put(batch("b1", plants=6), expected_row_version=1)
        with pytest.raises(VersionStale, match="is at version 1, not 0"):
            work.put(batch("b2"), expected_row_version=0)
        with pytest.raises(VersionStale):
            work.remove("batches", "b1", expected_row_version=1)


@pytest.mark.parametrize(
    "row",
    [
        batch("b3", variety="unknown"),
        order("o2", customer="nobody"),
        batch("b3", plants=-1),
        order_line("l2", product=None),
        order_line("l2", stems=5, minimum=6),
    ],
)
def test_the_tables_refuse_what_no_row_may_be(store: Store, row: object) -> None:
    imported(store)

    with pytest.raises(RowNotAccepted), store.unit_of_work(actor="owner", now=NOW) as work:  # noqa: PT012
        work.put(row)
        work.save()

    assert store.version() == 1


def test_rows_may_come_in_any_order_within_one_unit_of_work(store: Store) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(order_line("l2", order="o2"))
        work.put(order("o2", customer="ben"))
        work.put(customer("ben"))
        assert work.save() == 2


def test_an_order_line_and_a_standing_line_never_share_a_key(store: Store) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(standing_order())
        with pytest.raises(RowNotAccepted, match="'wedding-1' is already the key of a line in order_lines"):
            work.put(standing_line("wedding-1"))


def test_two_rows_with_one_key_are_not_imported(store: Store) -> None:
    with pytest.raises(RowNotAccepted, match="two rows of varieties have the key 'lagurus'"):
        imported(store, Farm(site(), varieties=(variety(), variety())))


def test_nothing_is_saved_after_a_refusal_by_the_database(store: Store) -> None:
    imported(store)

    with store.unit_of_work(actor="owner", now=NOW) as work:
        with pytest.raises(Exception, match=r"(?i)check"):
            work.put(batch("b3", plants=-1))
        with pytest.raises(AssertionError, match="refused"):
            work.save()
        with pytest.raises(AssertionError, match="refused"):
            work.put(batch("b4"))


def test_a_write_by_another_process_is_seen_by_the_next_reader_and_writer(store: Store, url: str) -> None:
    imported(store)
    other = Store.open(url)
    with other.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch("b3"))
        work.save()
    other.close()

    with store.unit_of_work(actor="owner", now=NOW) as work:
        assert [row.key for row in work.farm.batches] == ["b1", "b2", "b3"]
    assert [row.key for row in store.farm().batches] == ["b1", "b2", "b3"]


def test_the_farm_is_not_read_again_while_its_version_stands(store: Store) -> None:
    imported(store)

    assert store.farm() is store.farm()
