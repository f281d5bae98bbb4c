"""One worker at a time writes of gaps, on each database; a lease ends by itself; what was written is read back."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import update

from haulm.advice.gap_days import GapDays
from haulm.advice.gap_names import Standing
from haulm.advice.options.option import Option, Proof
from haulm.advice.ways import Ways
from haulm.store.gap_book import JOB, Basis, FollowedGaps, KeptGap, Worked
from haulm.store.store import Store
from haulm.store.tables.catalogue import GAP_WAYS
from support.desks import NOW
from support.farms import farm
from support.other_process import elsewhere, takes_gaps

MINUTE = timedelta(minutes=1)
TODAY = date(2027, 3, 15)
BASIS = Basis(1, TODAY, 3)
DAYS = GapDays(date(2027, 4, 5), date(2027, 4, 19), None, date(2027, 7, 1), "succession", "succession grass/direct")
WAYS = Ways((Option("tell", "Tell Anna.", date(2027, 7, 1), Proof((0.5,), 3.5), None, closes=False),), "Too late.")
STANDING = Standing("grass-2027-W30", "grass", frozenset({("l1", date(2027, 7, 27))}), ("grass-2027-W33",), "grass")


def with_farm(store: Store) -> Store:
    with store.unit_of_work(actor="test", now=NOW) as work:
        work.replace_farm(farm())
        work.save()
    return store


def test_of_two_processes_one_has_the_job_until_it_gives_it_back_or_its_time_is_over(store: Store, url: str) -> None:
    with_farm(store)
    assert store.leases.take(JOB, "one", NOW, MINUTE)
    assert not elsewhere(takes_gaps, url, "other", NOW + timedelta(seconds=59))
    assert store.leases.take(JOB, "one", NOW + timedelta(seconds=30), MINUTE)
    assert not elsewhere(takes_gaps, url, "other", NOW + timedelta(seconds=89))
    assert elsewhere(takes_gaps, url, "other", NOW + timedelta(seconds=90))
    assert not store.leases.take(JOB, "one", NOW + timedelta(seconds=91), MINUTE)
    store.leases.give_back(JOB, "one")
    assert not store.leases.take(JOB, "one", NOW + timedelta(seconds=91), MINUTE)
    store.leases.give_back(JOB, "other")
    assert store.leases.take(JOB, "one", NOW + timedelta(seconds=91), MINUTE)


def test_of_many_who_take_it_at_once_one_has_it(store: Store, url: str) -> None:
    with_farm(store)
    stores = [Store.open(url) for _ in range(6)]
    with ThreadPoolExecutor(6) as threads:
        took = list(threads.map(lambda one: one[1].leases.take(JOB, f"w{one[0]}", NOW, MINUTE), enumerate(stores)))
    for one in stores:
        one.close()
    assert sum(took) == 1


def test_what_is_written_of_gaps_is_read_back_and_counted(store: Store) -> None:
    with_farm(store)
    assert (store.gap_book.gaps(), store.gap_book.followed()) == ((), None)
    store.leases.take(JOB, "one", NOW, MINUTE)
    assert store.gap_book.write_names("one", [KeptGap(STANDING, None)], BASIS, is_done=False)
    assert store.gap_book.gaps() == (KeptGap(STANDING, None),)

    worked = Worked(DAYS, BASIS, datetime(2027, 3, 15, 18, 4, tzinfo=UTC))
    assert store.gap_book.write_worked("one", STANDING.name, (worked, WAYS), is_done=True)
    assert store.gap_book.gaps() == (KeptGap(STANDING, worked),)
    assert store.gap_book.ways(STANDING.name) == WAYS and store.gap_book.ways("another") is None
    assert store.gap_book.followed() == FollowedGaps(BASIS, is_done=True, writes=2)


def test_ways_go_with_the_gap_they_are_of_and_those_kept_in_another_shape_are_not_read(store: Store) -> None:
    with_farm(store)
    store.leases.take(JOB, "one", NOW, MINUTE)
    worked = Worked(DAYS, BASIS, NOW)
    store.gap_book.write_names("one", [KeptGap(STANDING, None)], BASIS, is_done=False)
    store.gap_book.write_worked("one", STANDING.name, (worked, WAYS), is_done=True)
    store.gap_book.write_names("one", [KeptGap(STANDING, worked)], BASIS, is_done=False)
    assert store.gap_book.ways(STANDING.name) == WAYS
    with store._write_apart() as connection:
        connection.execute(update(GAP_WAYS).values(shape="another"))
    assert store.gap_book.ways(STANDING.name) is None
    store.gap_book.write_worked("one", STANDING.name, (worked, WAYS), is_done=True)
    store.gap_book.write_names("one", [KeptGap(replace(STANDING, name="other"), None)], BASIS, is_done=False)
    assert store.gap_book.ways(STANDING.name) is None


def test_who_lost_the_job_writes_nothing_more(store: Store) -> None:
    with_farm(store)
    store.leases.take(JOB, "slow", NOW, MINUTE)
    store.gap_book.write_names("slow", [KeptGap(STANDING, None)], BASIS, is_done=False)
    assert store.leases.take(JOB, "next", NOW + 2 * MINUTE, MINUTE)

    assert not store.gap_book.write_worked("slow", STANDING.name, (Worked(DAYS, BASIS, NOW), WAYS), is_done=True)
    assert not store.gap_book.write_names("slow", [], BASIS, is_done=True)
    assert store.gap_book.gaps() == (KeptGap(STANDING, None),)


def test_nothing_of_it_raises_the_version_or_makes_an_entry(store: Store) -> None:
    with_farm(store)
    before = (store.version(), store.entries())
    store.leases.take(JOB, "one", NOW, MINUTE)
    store.gap_book.write_names("one", [KeptGap(STANDING, None)], BASIS, is_done=True)
    assert (store.version(), store.entries()) == before
