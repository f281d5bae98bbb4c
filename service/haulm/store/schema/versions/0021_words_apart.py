"""Words of customers and notes about them, apart from the journal; entries that hold some are cleaned."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from haulm.store.own_words import PersonOf, held_apart, keep_words, person_finder, with_words, words_of
from haulm.store.people import forget_letters_of
from haulm.store.tables.catalogue import ENTRIES

revision = "0021"
down_revision = "0020"


def upgrade() -> None:
    op.create_table(
        "own_words",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("entry_seq", sa.Integer(), nullable=False),
        sa.Column("place", AutoString(), nullable=False),
        sa.Column("person", sa.Integer(), nullable=False),
        sa.Column("words", AutoString(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", "entry_seq", "place", name="pk_own_words"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_own_words_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "entry_seq"],
            ["entries.farm_id", "entries.seq"],
            name="fk_own_words_entry_seq",
            deferrable=True,
            initially="DEFERRED",
        ),
        sa.ForeignKeyConstraint(
            ["farm_id", "person"],
            ["people.farm_id", "people.id"],
            name="fk_own_words_person",
            deferrable=True,
            initially="DEFERRED",
        ),
    )
    op.create_index("ix_own_words_person", "own_words", ["farm_id", "person"])
    _allow_editing()
    _clean_entries()
    _forbid_editing()


def downgrade() -> None:
    _allow_editing()
    _fill_entries()
    _forbid_editing()
    op.drop_table("own_words")


def _clean_entries() -> None:
    """Takes the words out of entries; those of people who are gone, or were erased, are gone with them."""
    connection = op.get_bind()
    columns = ENTRIES.c
    erased = _erased(connection)
    for farm_id, person in sorted(erased):
        forget_letters_of(connection, farm_id, person)
    found = connection.execute(
        sa.select(columns.farm_id, columns.seq, columns.kind, columns.subject, columns.body).order_by(columns.seq)
    ).mappings()
    for entry in found.all():
        body, words = held_apart(dict(entry), _person_or_nobody(connection, entry["farm_id"]))
        if not words:
            continue
        mine = (columns.farm_id == entry["farm_id"], columns.seq == entry["seq"])
        connection.execute(sa.update(ENTRIES).where(*mine).values(body=body))
        kept = [
            (entry["seq"], place, person, text)
            for place, person, text in words
            if person and (entry["farm_id"], person) not in erased
        ]
        keep_words(connection, entry["farm_id"], kept)


def _person_or_nobody(connection: sa.Connection, farm_id: int) -> PersonOf:
    """Finds persons; 0 for one whose customer was taken out: nobody is left whose words they are, so they go."""
    known = person_finder(connection, farm_id)
    return lambda collection, key: known(collection, key) or 0


def _fill_entries() -> None:
    connection, columns = op.get_bind(), ENTRIES.c
    for farm_id, seq, body in connection.execute(sa.select(columns.farm_id, columns.seq, columns.body)).all():
        if words := words_of(connection, farm_id, seq, seq).get(seq):
            mine = (columns.farm_id == farm_id, columns.seq == seq)
            connection.execute(sa.update(ENTRIES).where(*mine).values(body=with_words(body, words)))


def _erased(connection: sa.Connection) -> set[tuple[int, int]]:
    found = connection.execute(sa.text("SELECT farm_id, id FROM people WHERE erased_at_utc IS NOT NULL"))
    return {(row.farm_id, row.id) for row in found}


def _allow_editing() -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER tr_entries_update")
    else:
        op.execute("ALTER TABLE entries DISABLE TRIGGER tr_entries_edit")


def _forbid_editing() -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            "CREATE TRIGGER tr_entries_update BEFORE UPDATE ON entries "
            "BEGIN SELECT RAISE(ABORT, 'entries is never edited'); END"
        )
    else:
        # What waits of deferred references has to be looked at before the table may be altered again.
        op.execute("SET CONSTRAINTS ALL IMMEDIATE")
        op.execute("ALTER TABLE entries ENABLE TRIGGER tr_entries_edit")
