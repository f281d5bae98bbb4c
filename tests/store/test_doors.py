"""Passes and passwords beside the farm, on each engine: who comes, and how the farm stands at that moment."""

from __future__ import annotations

from contextlib import closing
from datetime import UTC, datetime, timedelta

from haulm.farm.snapshot import Farm
from haulm.store.doors import BROWSER_DAYS, IDLE_DAYS, Glance
from haulm.store.store import Store
from haulm.store.words import DoorRole, PassKind
from support.farms import site, variety

NOW = datetime(2027, 6, 14, 6, 30, tzinfo=UTC)


def glanced(store: Store, shown: tuple[str, datetime] | None = None) -> Glance:
    """What a door sees; where it can be told at once, as on SQLite, that is the same."""
    at_once = store.doors.glance_at_once(shown)
    assert (at_once is None) == (store.moment() is None)
    found = store.doors.glance(shown)
    assert at_once in (None, found)
    return found


def test_a_stranger_is_nobody_before_anything_was_written(store: Store) -> None:
    assert glanced(store) == Glance(0, None, is_locked=False)
    assert glanced(store, ("anything", NOW)) == Glance(0, None, is_locked=False)


def test_a_pass_is_known_beside_the_version_and_whether_there_is_a_password(store: Store) -> None:
    token = store.doors.make_pass(DoorRole.HAND, PassKind.PROGRAM, NOW)
    assert glanced(store, (token, NOW)) == Glance(0, DoorRole.HAND, is_locked=False)
    with store.unit_of_work(actor="test", now=NOW) as work:
        work.enter("something", "farm")
        work.save()
    store.doors.set_password(DoorRole.OWNER, "hash", NOW)

    assert glanced(store, (token, NOW)) == Glance(1, DoorRole.HAND, is_locked=True)
    assert glanced(store, (token + "x", NOW)) == Glance(1, None, is_locked=True)
    assert glanced(store) == Glance(1, None, is_locked=True)


def test_only_the_owners_password_locks_the_door(store: Store) -> None:
    store.doors.set_password(DoorRole.HAND, "hash", NOW)

    assert not glanced(store).is_locked


def test_a_browsers_pass_is_over_after_two_weeks_without_use_and_a_month_in_all(store: Store) -> None:
    token = store.doors.make_pass(DoorRole.OWNER, PassKind.BROWSER, NOW)
    idle = timedelta(days=IDLE_DAYS)
    later = NOW + idle - timedelta(minutes=1)
    assert store.doors.role_of(token, later) is DoorRole.OWNER  # noted as a use
    assert store.doors.role_of(token, later + idle - timedelta(minutes=1)) is DoorRole.OWNER
    assert store.doors.role_of(token, NOW + timedelta(days=BROWSER_DAYS)) is None

    unused = store.doors.make_pass(DoorRole.OWNER, PassKind.BROWSER, NOW)
    assert store.doors.role_of(unused, NOW + idle) is None


def test_a_version_that_was_just_read_is_not_asked_for_again(store: Store) -> None:
    with store.read_already(7) as is_in_memory:
        assert store.version() == 7 and not is_in_memory
    assert store.version() == 0


def test_the_farm_of_a_version_that_was_just_read_comes_from_memory_where_it_is_there(store: Store, url: str) -> None:
    with store.unit_of_work(actor="test", now=NOW) as work:
        work.replace_farm(Farm(site()))
        version = work.save()
    farm = store.farm()
    with closing(Store.open(url)) as other, other.unit_of_work(actor="other", now=NOW) as work:
        work.put(variety())
        work.save()

    with store.read_already(version) as is_in_memory:
        assert is_in_memory and store.farm() is farm
    with store.read_already(version + 1) as is_in_memory:
        assert not is_in_memory
    assert store.farm().version == version + 1


def test_a_use_that_is_to_be_noted_is_not_told_at_once(store: Store) -> None:
    token = store.doors.make_pass(DoorRole.OWNER, PassKind.PROGRAM, NOW)
    later = NOW + timedelta(hours=2)
    assert store.doors.glance_at_once((token, later)) is None
    assert store.doors.role_of(token, later) is DoorRole.OWNER

    assert glanced(store, (token, later)).role is DoorRole.OWNER
