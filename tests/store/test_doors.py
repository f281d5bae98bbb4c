"""Passes and passwords beside the farm, on each engine: who comes, and how the farm stands at that moment."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from haulm.store.doors import BROWSER_DAYS, IDLE_DAYS, Glance
from haulm.store.store import Store
from haulm.store.words import DoorRole, PassKind

NOW = datetime(2027, 6, 14, 6, 30, tzinfo=UTC)


def test_a_stranger_is_nobody_before_anything_was_written(store: Store) -> None:
    assert store.doors.glance(None) == Glance(0, None, is_locked=False)
    assert store.doors.glance(("anything", NOW)) == Glance(0, None, is_locked=False)


def test_a_pass_is_known_beside_the_version_and_whether_there_is_a_password(store: Store) -> None:
    token = store.doors.make_pass(DoorRole.HAND, PassKind.PROGRAM, NOW)
    assert store.doors.glance((token, NOW)) == Glance(0, DoorRole.HAND, is_locked=False)
    with store.unit_of_work(actor="test", now=NOW) as work:
        work.enter("something", "farm")
        work.save()
    store.doors.set_password(DoorRole.OWNER, "hash", NOW)

    assert store.doors.glance((token, NOW)) == Glance(1, DoorRole.HAND, is_locked=True)
    assert store.doors.glance((token + "x", NOW)) == Glance(1, None, is_locked=True)
    assert store.doors.glance(None) == Glance(1, None, is_locked=True)


def test_only_the_owners_password_locks_the_door(store: Store) -> None:
    store.doors.set_password(DoorRole.HAND, "hash", NOW)

    assert not store.doors.glance(None).is_locked


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
    with store.read_already(7):
        assert store.version() == 7
    assert store.version() == 0
