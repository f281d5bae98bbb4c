"""Backups by themselves: one a day from its hour on, proved by reading it back, old ones taken out, said on Today."""

import os
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from haulm.farm.weeks import Week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.warning.keep_backups import back_up, days_kept, last_backup, prove, rotate
from haulm.store.errors import BackupRefused
from support.desks import done

MORNING = datetime(2027, 6, 14, 1, 10, tzinfo=UTC)
"""Ten past three in Amsterdam."""


def at(desk: Desk, moment: datetime) -> Desk:
    """The desk at another moment."""
    return replace(desk, now=lambda: moment)


def test_the_day_s_backup_is_made_once_from_its_hour_on_for_its_owner_alone(desk: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "kept" / "here"
    assert not back_up(at(desk, MORNING - timedelta(minutes=30)), folder, "w")
    assert back_up(at(desk, MORNING), folder, "w")
    assert not back_up(at(desk, MORNING + timedelta(hours=5)), folder, "w")

    (file,) = folder.iterdir()
    assert file.name == "haulm-2027-06-14.backup"
    assert os.stat(file).st_mode & 0o077 == 0 and os.stat(folder).st_mode & 0o077 == 0


def test_while_one_worker_is_at_it_no_other_begins(desk: Desk, tmp_path: Path) -> None:
    assert desk.store.leases.take("backup", "another", MORNING, timedelta(hours=1))

    assert not back_up(at(desk, MORNING), tmp_path / "kept", "w")
    assert not (tmp_path / "kept").exists()


def test_a_copy_that_is_damaged_or_of_another_farm_is_not_taken_for_one(desk: Desk, tmp_path: Path) -> None:
    copy = tmp_path / "one.backup"
    desk.store.backup(copy)
    prove(desk.store, copy)
    with desk.store.scratch(copy) as scratch:
        done(replace(desk, store=scratch), lambda work: work.enter("mail-wanted", "customers/anna", {"wanted": False}))
        scratch.backup(tmp_path / "other.backup")

    with pytest.raises(BackupRefused, match="does not hold what was written"):
        prove(desk.store, tmp_path / "other.backup")
    # What was written after the copy is no fault of it.
    done(desk, lambda work: add_row(desk, work, RowAsked("beds", {"key": "pond", "name": "Pond"})))
    prove(desk.store, copy)


def test_today_says_when_the_last_one_was_and_warns_where_it_is_old_or_failed(desk: Desk, tmp_path: Path) -> None:
    assert last_backup(at(desk, MORNING)).sentence == "No backup was made yet."
    back_up(at(desk, MORNING), tmp_path / "kept", "w")

    said = {hours: last_backup(at(desk, MORNING + timedelta(hours=hours))) for hours in (4, 24, 49)}
    assert [one.sentence for one in said.values()] == [
        "Last backup: this morning at 03:10, checked.",
        "Last backup: yesterday at 03:10, checked.",
        "Last backup: Mon 14 Jun at 03:10, checked.",
    ]
    assert [one.is_grave for one in said.values()] == [False, False, True]
    (tmp_path / "in the way").write_text("a file")
    later = at(desk, MORNING + timedelta(days=1))
    with pytest.raises(BackupRefused):
        back_up(later, tmp_path / "in the way", "w")
    assert last_backup(later).is_grave and "failed: this morning at 03:10" in last_backup(later).sentence
    assert back_up(later, tmp_path / "kept", "w") and not last_backup(later).is_grave


def test_seven_days_five_weeks_and_twelve_months_stay_and_other_files_are_nobody_s_business(tmp_path: Path) -> None:
    today = date(2027, 6, 14)
    days = [today - timedelta(days=ago) for ago in range(500)]
    for day in days:
        (tmp_path / f"haulm-{day}.backup").write_bytes(b"x")
    (tmp_path / "before-replace-1.backup").write_bytes(b"x")
    rotate(tmp_path, today)

    left = sorted(path.name for path in tmp_path.iterdir())
    kept = {date.fromisoformat(name[6:16]) for name in left if name.startswith("haulm-")}
    assert "before-replace-1.backup" in left
    assert kept >= {today - timedelta(days=ago) for ago in range(7)}
    assert len({Week.of(day) for day in kept}) >= 5 and len({(day.year, day.month) for day in kept}) == 12
    assert len(kept) <= 7 + 5 + 12
    assert days_kept(sorted(kept), today) == kept
