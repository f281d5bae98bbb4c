"""Why something was lost and how much of it, when a record was typed, and whether it was said again."""

from alembic import op

revision = "0008"
down_revision = "0007"

_COLUMNS = {
    "reason": 'VARCHAR CONSTRAINT ck_records_reason CHECK ("reason" IN '
    "('frost', 'gone_over', 'pests', 'disease', 'weather', 'other'))",
    "share_pct": 'INTEGER CONSTRAINT ck_records_share_pct CHECK ("share_pct" BETWEEN 1 AND 100)',
    "typed_at": "VARCHAR",
    "really": "BOOLEAN DEFAULT false NOT NULL",
}


def upgrade() -> None:
    # A column with its own check can be added on both databases; the table need not be copied.
    for name, kind in _COLUMNS.items():
        op.execute(f'ALTER TABLE records ADD COLUMN "{name}" {kind}')


def downgrade() -> None:
    for name in reversed(_COLUMNS):
        op.execute(f'ALTER TABLE records DROP COLUMN "{name}"')
