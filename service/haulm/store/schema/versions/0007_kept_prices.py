"""Lines keep their price, and a row of the price list has a first week.

What old lines cost is filled in by the program once it starts: it knows what a choice costs, the tables do not.
"""

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0007"
down_revision = "0006"

_LINES = ("standing_lines", "order_lines")
_KEPT = ("bunch_price_minor", "bunch_stems", "price_from")


def upgrade() -> None:
    for table in _LINES:
        checks = [
            ("bunch_of_price", '("bunch_price_minor" IS NULL) = ("bunch_stems" IS NULL)'),
            ("bunch_price_minor", '"bunch_price_minor" BETWEEN 0 AND 1000000000'),
            ("bunch_stems", '"bunch_stems" BETWEEN 1 AND 1000000'),
            ("price_from", "\"price_from\" IN ('agreed', 'list')"),
        ]
        columns = [
            sa.Column("bunch_price_minor", sa.BigInteger(), nullable=True),
            sa.Column("bunch_stems", sa.Integer(), nullable=True),
            sa.Column("price_from", AutoString(), nullable=False, server_default="agreed"),
        ]
        _change(table, columns, [(f"ck_{table}_{name}", sql) for name, sql in checks])
        with op.batch_alter_table(table) as changed:
            changed.alter_column("price_from", server_default=None)
    _change("prices", [sa.Column("first_week", AutoString(), nullable=True)], [])
    op.execute("UPDATE prices SET key = key || '|'")


def downgrade() -> None:
    op.execute("DELETE FROM prices WHERE first_week IS NOT NULL")
    op.execute("UPDATE prices SET key = substr(key, 1, length(key) - 1)")
    _drop("prices", ("first_week",))
    for table in _LINES:
        _drop(table, _KEPT)


def _change(table: str, columns: Sequence[sa.Column[Any]], checks: Sequence[tuple[str, str]]) -> None:
    with op.batch_alter_table(table) as changed:
        for column in columns:
            changed.add_column(column)
        for name, sql in checks:
            changed.create_check_constraint(name, sa.text(sql))


def _drop(table: str, columns: Sequence[str]) -> None:
    """Drop columns with the checks that name them: PostgreSQL does so by itself, SQLite copies the table without."""
    bind = op.get_bind()
    found = sa.Table(table, sa.MetaData(), autoload_with=bind) if bind.dialect.name == "sqlite" else None
    if found is not None:
        checks = [one for one in found.constraints if isinstance(one, sa.CheckConstraint)]
        found.constraints -= {one for one in checks if any(f'"{name}"' in str(one.sqltext) for name in columns)}
    with op.batch_alter_table(table, copy_from=found) as changed:
        for name in columns:
            changed.drop_column(name)
