"""An order may have two nested parts: its lines say which they belong to, and the inner one has a floor of its own."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0017"
down_revision = "0016"

_PARTS = "\"part\" IN ('stands', 'sown')"


def upgrade() -> None:
    with op.batch_alter_table("order_lines") as lines:
        lines.add_column(sa.Column("part", AutoString(), nullable=True))
        lines.create_check_constraint("ck_order_lines_part", sa.text(_PARTS))
    # Floors are never edited: a copied table would lose what forbids it, so that a column with its check is added.
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f'ALTER TABLE floors ADD COLUMN "part" VARCHAR CONSTRAINT ck_floors_part CHECK ({_PARTS})')
        return
    op.add_column("floors", sa.Column("part", AutoString(), nullable=True))
    op.create_check_constraint("ck_floors_part", "floors", sa.text(_PARTS))


def downgrade() -> None:
    _drop_from_lines()
    op.drop_column("floors", "part")


def _drop_from_lines() -> None:
    """PostgreSQL drops the check with its column, SQLite copies the table without."""
    bind = op.get_bind()
    found = sa.Table("order_lines", sa.MetaData(), autoload_with=bind) if bind.dialect.name == "sqlite" else None
    if found is not None:
        checks = [one for one in found.constraints if isinstance(one, sa.CheckConstraint)]
        found.constraints -= {one for one in checks if '"part"' in str(one.sqltext)}
    with op.batch_alter_table("order_lines", copy_from=found) as changed:
        changed.drop_column("part")
