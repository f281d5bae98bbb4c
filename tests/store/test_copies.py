"""A copy of a whole database, on SQLite and on PostgreSQL, can be put into a scratch database that leaves no trace."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from haulm.farm.snapshot import Farm
from haulm.store.errors import BackupRefused
from haulm.store.store import Store
from support.farms import batch, site, variety

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
FARM = Farm(site(), varieties=(variety(),), batches=(batch(),))


def test_a_copy_holds_what_was_written_and_what_is_done_to_it_touches_nothing(store: Store, tmp_path: Path) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(FARM)
        work.save()
    copy = tmp_path / "one.backup"
    store.backup(copy)

    assert copy.stat().st_mode & 0o077 == 0
    with store.scratch(copy) as scratch:
        assert (scratch.farm(), scratch.entries()) == (store.farm(), store.entries())
        with scratch.unit_of_work(actor="owner", now=NOW) as work:
            work.put(batch("b2"))
            work.save()
    assert [row.key for row in store.farm().batches] == ["b1"]
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_what_is_no_copy_is_refused(store: Store, tmp_path: Path) -> None:
    (tmp_path / "text.backup").write_text("no database at all, though a file")
    with pytest.raises(Exception) as refusal, store.scratch(tmp_path / "text.backup"):
        pytest.fail("it was taken for a copy")
    assert isinstance(refusal.value, BackupRefused) or "not a database" in str(refusal.value)
