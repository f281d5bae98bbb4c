"""A backup is one file that brings everything back, and a version that was given away never comes again."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from haulm.farm.snapshot import Farm
from haulm.store.errors import BackupRefused, DatabaseNotMigrated
from haulm.store.store import Store
from support.farms import batch, site, variety

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
FARM = Farm(site(), varieties=(variety(),), batches=(batch(),))


@pytest.fixture
def sqlite_store(sqlite_url: str) -> Iterator[Store]:
    """A store on SQLite with a farm at version 1."""
    opened = Store.open(sqlite_url)
    with opened.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(FARM)
        work.save()
    yield opened
    opened.close()


def put(store: Store, key: str) -> None:
    """Writes one more batch."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch(key))
        work.save()


def test_what_was_backed_up_comes_back_under_a_version_of_its_own(sqlite_store: Store, tmp_path: Path) -> None:
    sqlite_store.backup(tmp_path / "backup.db")
    put(sqlite_store, "lost")
    put(sqlite_store, "lost-too")

    version = sqlite_store.restore(tmp_path / "backup.db", actor="owner", now=NOW)

    assert version == sqlite_store.version() == 4
    assert [row.key for row in sqlite_store.farm().batches] == ["b1"]
    assert sqlite_store.entries()[-1].kind == "farm-restored"


def test_a_backup_is_one_file_for_its_owner_alone(sqlite_store: Store, tmp_path: Path) -> None:
    (tmp_path / "copies").mkdir()
    sqlite_store.backup(tmp_path / "copies" / "backup.db")
    sqlite_store.backup(tmp_path / "copies" / "backup.db")

    assert [path.name for path in (tmp_path / "copies").iterdir()] == ["backup.db"]
    assert (tmp_path / "copies" / "backup.db").stat().st_mode & 0o777 == 0o600


def test_a_backup_opens_in_an_empty_place(sqlite_store: Store, tmp_path: Path) -> None:
    sqlite_store.backup(tmp_path / "backup.db")
    elsewhere = Store.open(f"sqlite:///{tmp_path / 'new' / 'farm.db'}")

    assert elsewhere.restore(tmp_path / "backup.db", actor="owner", now=NOW) == 2
    assert elsewhere.farm().batches == FARM.batches
    elsewhere.close()


def test_a_file_that_is_no_backup_is_neither_written_over_nor_read(sqlite_store: Store, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("Dear florist")

    with pytest.raises(BackupRefused, match="is no backup"):
        sqlite_store.backup(tmp_path / "letter.txt")
    with pytest.raises(BackupRefused, match="is not a backup"):
        sqlite_store.restore(tmp_path / "letter.txt", actor="owner", now=NOW)
    with pytest.raises(BackupRefused, match="cannot be written"):
        sqlite_store.backup(tmp_path / "nowhere" / "backup.db")
    with pytest.raises(BackupRefused, match="is there already"):
        sqlite_store.backup(tmp_path / "farm.db")
    assert (tmp_path / "letter.txt").read_text() == "Dear florist"
    assert sqlite_store.farm().batches == FARM.batches


def test_a_backup_of_a_newer_program_or_of_another_one_changes_nothing(sqlite_store: Store, tmp_path: Path) -> None:
    newer, other = tmp_path / "newer.db", tmp_path / "other.db"
    sqlite_store.backup(newer)
    with closing(sqlite3.connect(newer)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with closing(sqlite3.connect(other)) as connection, connection:
        connection.execute("CREATE TABLE letters (text)")

    with pytest.raises(DatabaseNotMigrated, match="is at 9999"):
        sqlite_store.restore(newer, actor="owner", now=NOW)
    with pytest.raises(BackupRefused, match="not one of Haulm's"):
        sqlite_store.restore(other, actor="owner", now=NOW)
    assert sqlite_store.farm().batches == FARM.batches


def test_a_damaged_backup_changes_nothing(sqlite_store: Store, tmp_path: Path) -> None:
    backup = tmp_path / "backup.db"
    sqlite_store.backup(backup)
    whole = backup.read_bytes()
    backup.write_bytes(whole[:8192] + b"\x55" * 8192 + whole[16384:])

    with pytest.raises(BackupRefused):
        sqlite_store.restore(backup, actor="owner", now=NOW)
    assert sqlite_store.farm().batches == FARM.batches


@pytest.mark.postgres
def test_postgresql_is_restored_by_its_own_program(postgres_url: str, tmp_path: Path) -> None:
    store = Store.open(postgres_url)
    store.migrate()

    store.backup(tmp_path / "backup.db")
    with pytest.raises(BackupRefused, match="pg_restore"):
        store.restore(tmp_path / "backup.db", actor="owner", now=NOW)
    store.close()
