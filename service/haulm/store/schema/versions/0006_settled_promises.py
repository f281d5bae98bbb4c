"""A promise may be settled: its stems are packed and have not left yet."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"

BEFORE = "'asked', 'held', 'contracted', 'released', 'lapsed', 'delivered'"
NOW = "'asked', 'held', 'contracted', 'settled', 'released', 'lapsed', 'delivered'"


def upgrade() -> None:
    _allow(NOW, instead_of=BEFORE)


def downgrade() -> None:
    _allow(BEFORE, instead_of=NOW)


def _allow(words: str, *, instead_of: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint("ck_promises_state", "promises", type_="check")
        op.create_check_constraint("ck_promises_state", "promises", f'"state" IN ({words})')
        return
    _copy_table(instead_of, words)


def _copy_table(before: str, now: str) -> None:
    """SQLite changes a check by copying the table; its indexes and triggers are made again as they were."""
    found = sa.text("SELECT type, sql FROM sqlite_master WHERE tbl_name = 'promises' AND sql IS NOT NULL")
    made = [(row.type, row.sql) for row in op.get_bind().execute(found)]
    table = next(sql for kind, sql in made if kind == "table")
    assert before in table, "the table of promises says which states it accepts"
    head, name, body = table.partition("promises")
    op.execute(f"{head}{name}_next{body.replace(before, now)}")
    op.execute("INSERT INTO promises_next SELECT * FROM promises")
    op.execute("DROP TABLE promises")
    op.execute("ALTER TABLE promises_next RENAME TO promises")
    for kind, sql in made:
        if kind != "table":
            op.execute(sql)
