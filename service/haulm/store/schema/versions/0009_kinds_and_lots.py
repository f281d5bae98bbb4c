"""What a variety is a cultivar of, and what of the sowings lives or dies together."""

from alembic import op

revision = "0009"
down_revision = "0008"

_COLUMNS = (("varieties", "kind"), ("batches", "lot"))


def upgrade() -> None:
    for table, name in _COLUMNS:
        op.execute(f'ALTER TABLE {table} ADD COLUMN "{name}" VARCHAR')


def downgrade() -> None:
    for table, name in reversed(_COLUMNS):
        op.execute(f'ALTER TABLE {table} DROP COLUMN "{name}"')
