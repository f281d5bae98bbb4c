"""Combined plans that were asked for: one job for each level, a bounded number of them, written by who has the job."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import update

from haulm.advice.season_plan import LookedAt, SeasonPlan
from haulm.store.gap_book import Basis
from haulm.store.season_book import JOB, MOST_KEPT, AskedPlan, Begun, FoundPlan
from haulm.store.store import Store
from haulm.store.tables.catalogue import SEASON_PLANS
from support.desks import NOW
from support.farms import farm

MINUTE = timedelta(minutes=1)
BASIS = Basis(1, date(2027, 3, 15), 3)
BEGUN = Begun(BASIS, 2, (LookedAt("grass-2027-W30", (), ("buy in",), "Too late."),))
FOUND = FoundPlan(BASIS, SeasonPlan((), (), (), None))


@pytest.fixture
def kept(store: Store) -> Store:
    """The store with a farm, its job taken by one worker."""
    with store.unit_of_work(actor="test", now=NOW) as work:
        work.replace_farm(farm())
        work.save()
    assert store.leases.take(JOB, "one", NOW, MINUTE)
    return store


def test_what_is_written_of_a_plan_is_read_back_and_stands_while_it_is_asked_anew(kept: Store) -> None:
    book = kept.season_book
    assert (book.at(None), book.waiting()) == (None, None)
    book.ask(0.9, NOW)
    assert book.write_begun("one", 0.9, BEGUN)
    assert book.waiting() == book.at(0.9) == AskedPlan(0.9, is_waiting=True, begun=BEGUN, found=None, at=None)
    assert book.write_found("one", 0.9, (FOUND, NOW), is_done=True)
    assert (book.at(0.9), book.waiting()) == (AskedPlan(0.9, is_waiting=False, begun=None, found=FOUND, at=NOW), None)
    book.ask(0.9, NOW + MINUTE)
    assert book.waiting() == AskedPlan(0.9, is_waiting=True, begun=None, found=FOUND, at=NOW)


def test_who_lost_the_job_writes_nothing_more(kept: Store) -> None:
    kept.season_book.ask(None, NOW)
    assert kept.leases.take(JOB, "next", NOW + 2 * MINUTE, MINUTE)
    assert not kept.season_book.write_begun("one", None, BEGUN)
    assert not kept.season_book.write_found("one", None, (FOUND, NOW), is_done=True)
    assert kept.season_book.at(None) == AskedPlan(None, is_waiting=True, begun=None, found=None, at=None)


def test_asked_twice_it_keeps_its_turn(kept: Store) -> None:
    book = kept.season_book
    for level, seconds in ((0.9, 0), (None, 1), (0.9, 2)):
        book.ask(level, NOW + timedelta(seconds=seconds))
    first = book.waiting()
    assert first is not None and first.level == 0.9
    book.write_found("one", 0.9, (FOUND, NOW), is_done=True)
    second = book.waiting()
    assert second is not None and second.level is None


def test_of_more_levels_the_one_asked_longest_ago_goes_those_worked_out_first(kept: Store) -> None:
    levels = [0.5 + number / 100 for number in range(MOST_KEPT)]
    for number, level in enumerate(levels):
        kept.season_book.ask(level, NOW + timedelta(seconds=number))
    kept.season_book.write_found("one", levels[2], (FOUND, NOW), is_done=True)
    kept.season_book.ask(0.9, NOW + MINUTE)
    assert [kept.season_book.at(level) is None for level in (*levels, 0.9)] == [False, False, True, False, False]
    kept.season_book.ask(0.95, NOW + MINUTE)
    assert kept.season_book.at(levels[0]) is None


def test_what_was_kept_in_another_shape_is_as_if_it_had_never_been_worked_out(kept: Store) -> None:
    book = kept.season_book
    book.ask(None, NOW)
    book.write_found("one", None, (FOUND, NOW), is_done=False)
    with kept._write_apart() as connection:
        connection.execute(update(SEASON_PLANS).values(shape="another"))
    assert book.at(None) == AskedPlan(None, is_waiting=True, begun=None, found=None, at=None)
    book.write_begun("one", None, BEGUN)
    assert book.at(None) == AskedPlan(None, is_waiting=True, begun=BEGUN, found=None, at=None)


def test_nothing_of_it_raises_the_version_or_makes_an_entry(kept: Store) -> None:
    before = (kept.version(), kept.entries())
    kept.season_book.ask(None, NOW)
    kept.season_book.write_begun("one", None, BEGUN)
    assert (kept.version(), kept.entries()) == before
