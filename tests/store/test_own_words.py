"""Words of people lie apart from the journal, are read with it, and are gone everywhere once the person is erased."""

import json
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from alembic import command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from haulm.farm.orders import Change
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.store import migrations
from haulm.store.engine import database_engine, database_url, reading, writing
from haulm.store.journal import rebuilt_farm
from haulm.store.outbox import Letter
from haulm.store.own_words import FREE_TEXTS
from haulm.store.store import Store
from haulm.store.tables.catalogue import ENTRIES, METADATA
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.upgrading import alembic_config
from haulm.store.words import LetterState
from support import scale
from support.farms import customer, order, site, standing_order

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
CHANGE = Change("away", "weekly", Week.parse("2027-W26"), 0, None, "to her sister in Bexmoor")
FARM = Farm(
    site(),
    customers=(
        customer("anna", name="Wilhelmina Thrupp", email="thrupp@example.org"),
        customer("ben", name="Ben Oddy", email="oddy@example.org"),
    ),
    standing_orders=(standing_order(),),
    changes=(CHANGE,),
    orders=(order("party", customer="anna"),),
)
SUBJECTS = {"claim": "lines/1", "bucket-list-corrected": "days/2027-06-14", "quote-cancelled": "orders/party"}
KINDS = st.lists(st.sampled_from(sorted(FREE_TEXTS)), min_size=1, max_size=5)
FEW = settings(max_examples=scale.count(8, 200), suppress_health_check=[HealthCheck.function_scoped_fixture])


def text_of(store: Store, *, entries_only: bool = False) -> str:
    """All tables as text."""
    tables = [ENTRIES] if entries_only else METADATA.sorted_tables
    with reading(store._engine) as connection:
        rows = [[list(row) for row in connection.execute(select(table))] for table in tables]
    return json.dumps(rows, default=str)


def enter(work: UnitOfWork, kind: str, said: str, key: str = "anna") -> int:
    """An entry of a kind with somebody's words in each of its places."""
    subject = SUBJECTS.get(kind, f"customers/{key}")
    facts = {} if kind == "quote-cancelled" else {"customer": key}
    return work.enter(kind, subject, {**facts, "stems": 3, **dict.fromkeys(FREE_TEXTS[kind], said)})


def imported(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(FARM, over_existing=True)
        work.save()


def erased(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.erase_person("anna")
        work.save()


@given(kinds=KINDS)
@FEW
def test_after_erasing_no_table_holds_name_address_or_words_and_others_keep_theirs(
    store: Store, kinds: list[str]
) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        for number, kind in enumerate(kinds):
            enter(work, kind, f"hers {number} quillwort")
        enter(work, "florist-replied", "his bladderwort", "ben")
        work.send(Letter("reply-judged", "anna", {"note": "hers quillwort", "asks": [{"reason": "quillwort"}]}, "k"))
        work.save()
    before = [entry.facts for entry in store.entries()[-len(kinds) - 1 : -1]]
    assert all(
        facts[FREE_TEXTS[kind][0]] == f"hers {n} quillwort"
        for n, (kind, facts) in enumerate(zip(kinds, before, strict=True))
    )
    bare = text_of(store, entries_only=True)
    assert "wort" not in bare and "Bexmoor" not in bare

    erased(store)

    text = text_of(store)
    assert [one for one in ("Thrupp", "thrupp", "quillwort", "Bexmoor") if one in text] == []
    assert "Ben Oddy" in text and "bladderwort" in text
    after = store.entries()[-len(kinds) - 2 : -2]
    assert all(entry.facts[FREE_TEXTS[entry.kind][0]] == "" and entry.facts["stems"] == 3 for entry in after)
    assert store.outbox.posted()[0].state is LetterState.LEFT_OUT


def test_notes_are_read_with_the_journal_and_gone_with_the_person(store: Store) -> None:
    imported(store)
    assert rebuilt_farm(store.entries()).changes == FARM.changes

    erased(store)

    assert [row.note for row in store.farm().changes] == [""]
    assert rebuilt_farm(store.entries()).changes == store.farm().changes
    store._resident = None
    assert [row.note for row in store.farm().changes] == [""]


def test_a_letter_under_way_is_neither_sent_nor_kept(store: Store) -> None:
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.send(Letter("availability", "anna", {"day": "2027-06-14"}, "k"))
        work.save()
    (claimed,) = store.outbox.claim("one", NOW, 5)
    store.outbox.keep_content("one", claimed.number, "<1@farm>", b"Dear Thrupp")
    erased(store)

    assert not store.outbox.hand_over("one", claimed, NOW)
    assert "Thrupp" not in text_of(store)


def test_the_file_itself_holds_nothing_of_the_person_any_more(sqlite_url: str) -> None:
    store, path = Store.open(sqlite_url), Path(sqlite_url.removeprefix("sqlite:///"))
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        enter(work, "florist-replied", "quillwort")
        work.save()
    store.close()
    assert b"Thrupp" in path.read_bytes() and b"quillwort" in path.read_bytes()
    store = Store.open(sqlite_url)
    erased(store)
    store.close()

    assert [one for one in (b"Thrupp", b"thrupp@", b"quillwort", b"Bexmoor") if one in path.read_bytes()] == []


def test_entries_of_an_earlier_release_are_cleaned_and_still_read_whole(url: str) -> None:
    store = Store.open(url)
    imported(store)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        enter(work, "florist-replied", "quillwort")
        enter(work, "florist-replied", "bladderwort", "ben")
        work.save()
    told = store.entries()
    config = alembic_config(migrations.SCHEMA_FOLDER)
    engine = database_engine(database_url(url), foreign_keys=False)
    with writing(engine) as connection, connection.begin():
        config.attributes["connection"] = connection
        command.downgrade(config, "0020")
        old = json.dumps([list(row) for row in connection.execute(select(ENTRIES))], default=str)
        assert "quillwort" in old and "Bexmoor" in old
        command.upgrade(config, "head")
    engine.dispose()

    assert "wort" not in text_of(store, entries_only=True) and "Bexmoor" not in text_of(store, entries_only=True)
    assert store.entries() == told
    erased(store)
    assert "quillwort" not in text_of(store) and "bladderwort" in text_of(store)
    store.close()


@pytest.mark.parametrize("collection", ["row-taken-out", "usual-sale-taken-back"])
def test_the_note_of_a_row_that_was_taken_out_goes_with_the_person(store: Store, collection: str) -> None:
    imported(store)
    subject = "changes/away" if collection == "row-taken-out" else "usual_sales/u1"
    values = {"order": "weekly", "customer": "anna", "note": "quillwort", "on": date(2027, 6, 1).isoformat()}
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.enter(collection, subject, {"values": values})
        work.save()
    assert store.entries()[-1].facts["values"] == values
    assert "quillwort" not in text_of(store, entries_only=True)

    erased(store)

    assert "quillwort" not in text_of(store)
